"""The bench sheet: a procedure for one machine on paper, complete without a phone.

Steps with their cautions, figures and limits; torque sheet; ledger; tray; bolt patterns at true size. Figures stand as
published with condition and source; what is not known is said, never filled in.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from benchtrail.domain.bench_state import apply_step, for_variant, start_state
from benchtrail.domain.end_items import tray
from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.job_lists import derived_lists, figures_of_steps
from benchtrail.paper.document import Document, Size
from benchtrail.paper.hole_patterns import hole_patterns

Json = dict[str, Any]
RECORD_MM = 110.0


@dataclass(frozen=True)
class SheetOf:
    """What a bench sheet is made of. `variant` None: the machine is any; `link` opens the procedure on a phone."""

    pack: Json
    sha256: str
    dealer: str
    variant: Any
    variant_words: str
    machine: str
    link: str
    made_at: datetime
    read_picture: Callable[[str], bytes | None]


def bench_sheet(sheet: SheetOf, size: Size = "A4") -> bytes:
    """The PDF. Raises Refused("guard_unknown")."""
    pack = for_variant(sheet.pack, sheet.variant)
    foot = f"{pack['title']}, revision {pack['revision']}, {sheet.dealer}, {sheet.sha256[:16]}"
    paper = Document(size, f"{pack['title']}: bench sheet", foot, sheet.made_at)
    paper.add_page()
    _head(paper, sheet, pack)
    _before(paper, pack)
    _steps(paper, pack, sheet.read_picture)
    _torques(paper, pack)
    _ledger(paper, pack)
    _tray(paper, pack)
    hole_patterns(paper, pack)
    _record(paper)
    return paper.bytes()


def _head(paper: Document, sheet: SheetOf, pack: Json) -> None:
    side = 30.0
    paper.code(sheet.link, paper.w - paper.r_margin - side, paper.t_margin, side)
    paper.set_right_margin(paper.r_margin + side + 3)
    paper.words(pack["title"], "B", 17)
    paper.words(pack["summary"], size=10)
    model = pack["model"]["name"] if pack["model"] else "Any machine"
    paper.words(f"{model}, {sheet.variant_words}" if sheet.variant else model, "B", 10)
    if sheet.machine:
        paper.words(sheet.machine, size=10)
    paper.words(f"Revision {pack['revision']}, issued {pack['issued']}, {pack['author']}. Printed {sheet.made_at:%d %B %Y, %H:%M} UTC. "
                "A newer revision may have been published since: the code opens the one in force.", size=8.5)
    paper.set_right_margin(paper.r_margin - side - 3)
    paper.set_y(max(paper.get_y(), paper.t_margin + side + 2))
    if pack["invented"]:
        paper.framed("NOTICE", "Invented machine and figures. Not for use on a real machine.")


def _before(paper: Document, pack: Json) -> None:
    paper.heading("Before you begin")
    paper.words(f"{pack['people']} {'person' if pack['people'] == 1 else 'people'}. {pack['skill']}")
    for literal in pack["start"]:
        paper.tick(_literal(pack, literal))
    lists = derived_lists(pack)
    needed = [("Single use, to be renewed", [_part(row) for row in lists["single_use"]]),
              ("Parts", [_part(row) for row in lists["parts"]]),
              ("Tools", [" or ".join(_name(pack, "tools", id) for id in row["any"]) for row in lists["tools"]]),
              ("Supplies", [str(row["name"]) for row in lists["supplies"]]),
              ("Fluids", [_fluid(row) for row in lists["fluids"]])]
    for name, items in needed:
        paper.words(f"{name}: {'none' if not items else ''}", "B")
        for item in items:
            paper.tick(item, left=3, size=9)
    paper.framed("STOP", pack["stop_and_ask"])
    if pack["disposal"]:
        paper.words(f"Disposal: {pack['disposal']}")


def _steps(paper: Document, pack: Json, read_picture: Callable[[str], bytes | None]) -> None:
    section = None
    for number, step in enumerate(pack["steps"], 1):
        if step["section"] != section:
            section = step["section"]
            paper.heading(section)
        for id in step["cautions"]:
            caution = pack["cautions"][id]
            paper.framed(caution["signal"], " ".join(caution[part] for part in ("hazard", "consequence", "avoidance") if caution.get(part)))
        paper.tick(f"{number}. {step['say']}", "B", size=10)
        for part in ("detail", "look_for"):
            if step[part]:
                paper.words(("Look for: " if part == "look_for" else "") + step[part], size=9, left=6)
        for words in _figures_at(pack, step):
            paper.words(words, "B", 9.5, 6)
        if step["limits"]:
            _limits(paper, pack, step["limits"])
        _picture(paper, pack, step, read_picture)
        paper.ln(1)


def _picture(paper: Document, pack: Json, step: Json, read_picture: Callable[[str], bytes | None]) -> None:
    entry = pack["pictures"].get(step["picture"]) if step["picture"] else None
    content = read_picture(entry["sha256"]) if entry else None
    if entry and content:
        paper.picture(content, entry["alt"], 70)


def _limits(paper: Document, pack: Json, limits: Json) -> None:
    ends = [(word, pack["figures"].get(limits[end])) for word, end in (("at least", "low"), ("at most", "high"))]
    said = ", ".join(f"{word} {figure_words(figure)}" for word, figure in ends if figure)
    paper.words(f"Limit: {said or 'not known; ask the dealer before you go on'}", "B", 9.5, 6)
    paper.words(f"Within: {limits['pass']}  Outside: {limits['fail']}", size=9, left=6)
    paper.ruled(f"      Reading ({limits['unit']})" if limits["unit"] else "      Reading")


def _figures_at(pack: Json, step: Json) -> list[str]:
    found = []
    for row in figures_of_steps(pack):
        if row["step"] == step["id"]:
            found.append(f"{pack['joints'][row['joint']]['name']}: {_how_far(pack, row)}")
    if not found and step["figure"] in pack["figures"]:
        found.append(figure_words(pack["figures"][step["figure"]]))
    return found


def _how_far(pack: Json, row: Json) -> str:
    if row["angle_deg"] is not None:
        return f"a further {row['angle_deg']:g}°"
    figure = pack["figures"].get(row["figure"]) if row["figure"] else None
    if figure is None:
        return str(row["hand"] or "figure not known; ask the dealer")
    words = figure_words(figure)
    return f"{row['share']:g} % of {words}" if row["share"] not in (None, 100) else words


def figure_words(figure: Mapping[str, Any]) -> str:
    """The figure as published with tolerance and condition, in the other system too, and its source."""
    shown = figure_in_both(figure)
    amount = " ".join(part for part in (figure["as_published"], figure["tolerance"]) if part)
    other = f" ({shown['other']['text']} {shown['other']['unit']})" if shown["other"] else ""
    source = ", ".join(part for part in (figure["source"], figure["revision"]) if part)
    return f"{amount}{other}, {figure['condition']}. Source: {source}"


def _torques(paper: Document, pack: Json) -> None:
    rows = figures_of_steps(pack)
    if not rows:
        return
    numbers = {step["id"]: number for number, step in enumerate(pack["steps"], 1)}
    paper.heading("Torque sheet")
    lines = [[str(numbers[row["step"]]), f"{pack['joints'][row['joint']]['name']}" + (f", stage {row['stage']}" if row["stage"] else ""),
              str(row["count"] or ""), _how_far(pack, row), ""] for row in rows]
    paper.rows(("Step", "Joint", "Count", "Figure", "Done"), lines, (10, 38, 12, 100, 14))


def _ledger(paper: Document, pack: Json) -> None:
    touched = dict.fromkeys(action["object"] for step in pack["steps"] for action in step["do"]
                            if action["verb"] in ("undo", "slacken") and action["object"] in pack["joints"])
    aids = dict.fromkeys(action["object"] for step in pack["steps"] for action in step["do"] if action["verb"] == "aid_on")
    if not touched and not aids:
        return
    paper.heading("Ledger: nothing here may be open at the end")
    lines = [[pack["joints"][id]["name"], str(len(pack["joints"][id]["positions"]) or ""), "", "", ""] for id in touched]
    lines += [[f"{_name(pack, 'aids', id)} (aid)", "", "", "–", ""] for id in aids]
    paper.rows(("Joint", "Count", "Undone / on", "Started", "Final / off"), lines, (78, 14, 28, 26, 28))


def _tray(paper: Document, pack: Json) -> None:
    """Everything that is off at one time or another, in the order in which it comes off, a box for each."""
    state, seen = start_state(pack), dict[str, tuple[str, str]]()
    for step in pack["steps"]:
        state = apply_step(pack, state, step)
        held = tray(pack, state)
        for row in held["parts"]:
            again = "renew, must not go back" if row["renew"] else ""
            seen.setdefault(f"part {row['part']}", (_counted(row), again))
        for row in held["fasteners"]:
            lengths = ", ".join(f"{one['count']} × {one['length_mm']:g} mm" for one in row["lengths"] if one["length_mm"] is not None)
            again = "renew, must not go back" if row["renew"] else ""
            seen.setdefault(f"joint {row['joint']}", (_counted(row), "; ".join(part for part in (lengths, again) if part)))
    if not seen:
        return
    paper.heading("Tray: lay what comes off on its box, in this order")
    width, height, gap = (paper.epw - 8) / 3, 26.0, 4.0
    for number, (name, words) in enumerate(seen.values()):
        column = number % 3
        if column == 0:
            paper.need(height + gap)
            top = paper.get_y()
        left = paper.l_margin + column * (width + gap)
        paper.rect(left, top, width, height)
        paper.set_xy(left + 1, top + 1)
        paper.set_font("sheet", "B", 8.5)
        paper.multi_cell(width - 2, 4, f"{number + 1}. {name}", max_line_height=4)
        if words:
            paper.set_x(left + 1)
            paper.set_font("sheet", "", 8)
            paper.multi_cell(width - 2, 3.8, words)
        paper.set_xy(paper.l_margin, top + (height + gap if column == 2 or number == len(seen) - 1 else 0))


def _record(paper: Document) -> None:
    paper.need(RECORD_MM)
    paper.heading("Record")
    for label, lines in (("Machine, serial", 1), ("Hours", 1), ("Begun, finished", 1), ("Torque wrench used", 1), ("Done by", 1),
                         ("Found, measured, renewed", 5), ("For the dealer", 2)):
        paper.ruled(label, lines)


def _literal(pack: Json, literal: Any) -> str:
    word, thing, *value = literal
    for table in ("poses", "parts", "joints", "fluids", "settings", "checks", "aids"):
        if thing in pack[table]:
            name = pack[table][thing]["name"]
            return str(name).capitalize() if word == "pose" else f"{name} {word} {' '.join(map(str, value))}".strip().capitalize()
    return " ".join(map(str, literal))


def _name(pack: Json, table: str, id: str) -> str:
    return str(pack[table].get(id, {}).get("name", id))


def _counted(row: Json) -> str:
    return f"{row['name']} × {row['count']}" if row["count"] and row["count"] > 1 else str(row["name"])


def _part(row: Json) -> str:
    number = f", number {row['number']}" if row["number"] else ", no number given"
    count = f" × {row['count']}" if row["count"] and row["count"] > 1 else ""
    return f"{row['name']}{count}{number}" + ("" if row["certain"] else " (only if worn)")


def _fluid(row: Json) -> str:
    amount = f"{row['amount_ml']:g} ml" if row["amount_ml"] is not None else "amount not stated"
    return ", ".join(part for part in (row["name"], amount, row["specification"]) if part)
