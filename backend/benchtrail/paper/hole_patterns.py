"""Each cover's holes on paper as they lie, at true size: turned where that makes it fit, over several sheets where it does not."""

import math
from typing import Any

from benchtrail.domain.job_lists import figures_of_steps
from benchtrail.domain.tightening_order import tightening_order
from benchtrail.paper.document import Document

Json = dict[str, Any]
Place = tuple[float, float]
LEAST_HOLES, MOST_SHEETS = 3, 6
HOLE_MM, OVER_MM = 3.2, 36.0  # a circle's radius; words above and below
EDGE_MM = -3.0  # how far inside the margin the outermost hole may lie: its circle stays 8 mm from the paper's edge


def hole_patterns(paper: Document, pack: Json) -> None:
    """The patterns of the joints that the steps tighten: numbered in the order of tightening, the length beside each."""
    tightened = {row["joint"] for row in figures_of_steps(pack)}
    joints = [joint for id, joint in pack["joints"].items() if id in tightened and len(joint["positions"]) >= LEAST_HOLES]
    if not joints:
        return
    paper.add_page()
    paper.heading("Hole patterns at true size")
    paper.words("Print at 100 %, not fitted to the page. The bar must measure 50 mm; if it does not, do not lay anything on these.", size=9)
    top = paper.get_y() + 2
    paper.line(paper.l_margin, top, paper.l_margin + 50, top)
    for end in (0, 50):
        paper.line(paper.l_margin + end, top - 1.5, paper.l_margin + end, top + 1.5)
    paper.set_y(top + 3)
    for joint in joints:
        _pattern(paper, joint)


def _pattern(paper: Document, joint: Json) -> None:
    wide, tall = paper.epw - 2 * EDGE_MM, paper.h - paper.t_margin - paper.b_margin - OVER_MM
    places = _from_corner([(float(x), float(y)) for x, y in (position["at"] for position in joint["positions"])])
    across, down = _size(places)
    turned = (across > wide or down > tall) and down <= wide and across <= tall
    if turned:
        places, across, down = _from_corner([(y, -x) for x, y in places]), down, across
    columns, rows = max(1, math.ceil(across / wide)), max(1, math.ceil(down / tall))
    words = "true size" + (", turned by a quarter" if turned else "")
    if columns * rows == 1:
        paper.need(down + OVER_MM)
        _sheet(paper, joint, places, (across, down), words)
    elif columns * rows <= MOST_SHEETS:
        for number in range(columns * rows):
            corner = (number % columns * wide, number // columns * tall)
            shown = [(x - corner[0], y - corner[1]) for x, y in places]
            if not any(_on_sheet(place, (wide, tall)) for place in shown):
                continue
            paper.add_page()
            _sheet(paper, joint, shown, (wide, tall), f"{words}, part {number + 1} of {columns * rows}: lay the frames edge to edge, "
                   f"{columns} across and {rows} down", framed=True)
    else:
        scale = min(wide / max(across, 1), tall / max(down, 1))
        shown = [(x * scale, y * scale) for x, y in places]
        paper.need(down * scale + OVER_MM)
        _sheet(paper, joint, shown, (across * scale, down * scale), f"too large for paper, drawn at {scale * 100:.0f} %: NOT true size")


def _from_corner(places: list[Place]) -> list[Place]:
    least_x, least_y = min(x for x, _ in places), min(y for _, y in places)
    return [(x - least_x, y - least_y) for x, y in places]


def _size(places: list[Place]) -> Place:
    return max(x for x, _ in places), max(y for _, y in places)


def _on_sheet(place: Place, size: Place) -> bool:
    """Any of the hole's circle falls on a sheet of this size."""
    return all(-HOLE_MM <= one <= most + HOLE_MM for one, most in zip(place, size, strict=True))


def _sheet(paper: Document, joint: Json, places: list[Place], size: Place, words: str, framed: bool = False) -> None:
    """One pattern, or what of it falls on one sheet; places from the corner, in millimetres of paper."""
    order = _order(joint)
    numbered = "numbers are the order of tightening" if order else "no order is set; numbers name the holes"
    paper.words(f"{joint['name']} ({joint['thread'] or 'thread not stated'}): {numbered}; {words}", "B", 9.5)
    left, top = paper.l_margin + EDGE_MM, paper.get_y() + HOLE_MM + 2
    if framed:
        paper.rect(left, top, *size)
    place = {hole: number for number, hole in enumerate(order, 1)}
    for hole, (position, (x, y)) in enumerate(zip(joint["positions"], places, strict=True), 1):
        if _on_sheet((x, y), size):
            _hole(paper, left + x, top + y, str(place.get(hole, hole)), position)
    paper.set_xy(paper.l_margin, top + size[1] + 12)


def _hole(paper: Document, x: float, y: float, number: str, position: Json) -> None:
    paper.circle(x, y, HOLE_MM)
    paper.set_font("sheet", "B", 9)
    paper.set_xy(x - HOLE_MM, y - 2.2)
    paper.cell(2 * HOLE_MM, 4.4, number, align="C")
    label = ", ".join(part for part in (position["label"], f"{position['length_mm']:g} mm" if position["length_mm"] else "") if part)
    if label:
        paper.set_font("sheet", "", 7.5)
        left = min(max(x - 15, 4), paper.w - 34)  # beside the paper's edge it is moved, never cut
        paper.set_xy(left, y + 3.4)
        paper.cell(30, 3.6, label, align="C")


def _order(joint: Json) -> list[int]:
    """Hole numbers in the order of tightening; empty when the map sets none."""
    if joint["order"]:
        return list(joint["order"])
    if joint["pattern"] != "cross":
        return []
    found = tightening_order(positions=[position["at"] for position in joint["positions"]]).values["order"]
    return [hole for hole in found if isinstance(hole, int)] if isinstance(found, list) else []
