"""A document on A4 or Letter: type, headings, tick boxes, tables, QR codes. Knows how things are drawn, not what they say."""

import io
import logging
from collections.abc import Sequence
from datetime import datetime
from importlib.resources import files
from typing import Literal

import segno
from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import FontFace

Size = Literal["A4", "Letter"]
INK, SOFT, RULE, PAPER = (20, 20, 20), (85, 85, 85), (170, 170, 170), (255, 255, 255)
MARGIN_MM = 15.0
LINE_MM = 4.8
logging.getLogger("fpdf.svg").setLevel(logging.ERROR)  # it reports each <title> that it does not draw
PLAINER = str.maketrans({"–": "-", "—": "-", "→": "->", "≥": ">=", "≤": "<=", "…": "...", "’": "'", "“": '"', "”": '"', "−": "-"})


class Document(FPDF):
    """Pages with a foot on each: what the document is, and page n of m."""

    def __init__(self, size: Size, title: str, foot: str, made_at: datetime) -> None:
        super().__init__(format=size, unit="mm")
        self._foot = foot
        self.set_margins(MARGIN_MM, MARGIN_MM, MARGIN_MM)
        self.set_auto_page_break(True, 18)
        folder = files("ttf_opensans") / "ttf"
        for style, name in (("", "Regular"), ("B", "SemiBold"), ("I", "Italic")):
            self.add_font("sheet", style, str(folder / f"OpenSans-{name}.ttf"))
        self.set_title(title)
        self.set_lang("en")
        self.set_creator("Benchtrail")
        self.set_creation_date(made_at)
        self.set_text_color(*INK)
        self.set_draw_color(*INK)

    def footer(self) -> None:
        self.set_y(-13)
        self.set_font("sheet", "", 7.5)
        self.set_text_color(*SOFT)
        self.cell(self.epw - 25, 4, self.fitting(self._foot, self.epw - 27))
        self.cell(25, 4, f"page {self.page_no()} of {{nb}}", align="R")
        self.set_text_color(*INK)

    def fitting(self, text: str, width: float) -> str:
        """The text, cut with … where it is wider."""
        shown = text
        while shown and self.get_string_width(shown) > width:
            shown = shown[:-2].rstrip() + "…" if len(shown) > 2 else ""
        return shown

    def heading(self, words: str, size: float = 13) -> None:
        """A heading that is never left alone at the foot of a page."""
        self.need(22)
        self.ln(2)
        self.set_font("sheet", "B", size)
        self.multi_cell(0, size * 0.5, words, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(1)

    def words(self, text: str, style: str = "", size: float = 9.5, left: float = 0) -> None:
        """A paragraph."""
        self.set_font("sheet", style, size)
        self.set_x(self.l_margin + left)
        self.multi_cell(self.epw - left, size * 0.5, text, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)

    def need(self, height: float) -> None:
        """Begins a new page when less than this is left."""
        if self.get_y() + height > self.h - self.b_margin:
            self.add_page()

    def tick(self, text: str, style: str = "", left: float = 0, size: float = 9.5) -> None:
        """A line with a box to tick."""
        self.need(7)
        top = self.get_y()
        self.rect(self.l_margin + left, top + 0.8, 3.4, 3.4)
        self.words(text, style, size, left + 6)
        self.ln(0.6)

    def ruled(self, label: str, lines: int = 1) -> None:
        """A label and lines to write on."""
        self.need(7.5 * lines)
        self.set_font("sheet", "", 9)
        width = min(self.get_string_width(label) + 2, self.epw * 0.6)
        for number in range(lines):
            top = self.get_y()
            if number == 0:
                self.cell(width, 7.5, label)
            self.set_draw_color(*RULE)
            self.line(self.l_margin + (width if number == 0 else 0), top + 6.6, self.w - self.r_margin, top + 6.6)
            self.set_draw_color(*INK)
            self.set_xy(self.l_margin, top + 7.5)

    def rows(self, head: Sequence[str], lines: Sequence[Sequence[str]], widths: Sequence[float]) -> None:
        """A table whose head is repeated on each page."""
        if not lines:
            return
        self.set_font("sheet", "", 8.5)
        self.set_draw_color(*RULE)
        self.set_fill_color(*PAPER)
        with self.table(col_widths=tuple(widths), line_height=LINE_MM, text_align="LEFT", padding=0.8,
                        headings_style=_head_style()) as table:
            table.row(list(head))
            for line in lines:
                table.row(list(line))
        self.set_draw_color(*INK)
        self.ln(2)

    def framed(self, signal: str, text: str) -> None:
        """A caution: its signal word on ink, its words beside it, in a frame."""
        self.set_font("sheet", "", 9)
        inner = self.epw - 30
        lines = self.multi_cell(inner, 4.4, text, dry_run=True, output="LINES")
        height = max(7.0, 4.4 * len(lines if isinstance(lines, list) else [text]) + 2.4)
        self.need(height + 2)
        left, top = self.l_margin, self.get_y()
        self.set_fill_color(*INK)
        self.rect(left, top, 27, height, style="DF")
        self.rect(left, top, self.epw, height)
        self.set_text_color(*PAPER)
        self.set_font("sheet", "B", 9)
        self.set_xy(left, top + height / 2 - 2.2)
        self.cell(27, 4.4, signal, align="C")
        self.set_text_color(*INK)
        self.set_font("sheet", "", 9)
        self.set_xy(left + 28.5, top + 1.2)
        self.multi_cell(inner, 4.4, text)
        self.set_xy(left, top + height + 1.2)

    def code(self, address: str, left: float, top: float, side: float) -> None:
        """A QR code as filled squares, with its quiet zone. Source: ISO/IEC 18004, model 2."""
        drawn = [list(row) for row in segno.make(address, error="m", micro=False).matrix_iter(border=2)]
        module = side / len(drawn)
        self.set_fill_color(*INK)
        for y, row in enumerate(drawn):
            for x, dark in enumerate(row):
                if dark:
                    self.rect(left + x * module, top + y * module, module * 1.01, module * 1.01, style="F")

    def picture(self, content: bytes, alt: str, width: float, most_height: float = 70.0) -> None:
        """A picture with its description below; the description alone when it cannot be drawn."""
        self.need(most_height * 0.8 + 6)
        top = self.get_y()
        try:
            found = self.image(io.BytesIO(_drawable(content)), x=self.l_margin + 8, y=top + 1, w=width, alt_text=alt)
            if found.rendered_height > most_height:
                raise ValueError("too tall")
        except Exception:  # a picture that this library cannot draw must not cost the sheet
            self.set_y(top)
            self.words(f"Picture: {alt}", "I", 8.5, 8)
            return
        self.set_y(top + found.rendered_height + 1)
        self.words(alt, "I", 8, 8)

    def bytes(self) -> bytes:
        """The finished document."""
        return bytes(self.output())


def _drawable(content: bytes) -> bytes:
    """The words inside an SVG are drawn in one of PDF's own fonts, which have Latin-1 letters only."""
    if not content.lstrip().startswith(b"<"):
        return content
    return content.decode("utf-8", "replace").translate(PLAINER).encode()


def _head_style() -> FontFace:
    return FontFace(emphasis="BOLD", fill_color=(235, 235, 235))
