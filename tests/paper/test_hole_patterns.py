"""Hole patterns on paper: every hole where the map has it, at true size, on one sheet or on several laid edge to edge."""

import io
import re
from itertools import pairwise

import pytest
from pypdf import PageObject, PdfReader
from tests.making import START, a_pack

from benchtrail.domain.bench_state import Pack
from benchtrail.paper.document import Document, Size
from benchtrail.paper.hole_patterns import hole_patterns

MM = 72 / 25.4  # points in a millimetre: ISO 32000-1, 8.3.2.3


def pack_with(places: list[tuple[float, float]]) -> Pack:
    pack = a_pack()
    pack["joints"]["plug"]["positions"] = [{"at": list(place), "length_mm": 20, "label": None} for place in places]
    return pack


def sheets(places: list[tuple[float, float]], size: Size) -> list[PageObject]:
    paper = Document(size, "Patterns", "foot", START)
    hole_patterns(paper, pack_with(places))
    return list(PdfReader(io.BytesIO(paper.bytes())).pages)


def circles(page: PageObject) -> list[tuple[float, float]]:
    """Centres of the circles in millimetres from the page's upper left corner; a circle is four curves from its right end."""
    height = float(page.mediabox.height)
    found = []
    commands = page.get_contents().get_data().decode("latin-1")  # type: ignore[union-attr]
    for x, y, curves in re.findall(r"([\d.]+) ([\d.]+) m\s+((?:[\d. ]+ c\s+){4})", commands):
        ends = [tuple(map(float, curve.split()[4:6])) for curve in re.findall(r"[\d. ]+(?= c)", curves)]
        xs, ys = [float(x), *(end[0] for end in ends)], [float(y), *(end[1] for end in ends)]
        found.append(((min(xs) + max(xs)) / 2 / MM, (height - (min(ys) + max(ys)) / 2) / MM))
    return found


def steps_between(places: list[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(places)]


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_holes_lie_as_in_the_map_to_a_twentieth_of_a_millimetre(size: Size) -> None:
    places = [(0.0, 0.0), (62.5, 4.0), (70.0, 88.0), (-12.0, 51.5)]
    (page,) = sheets(places, size)
    for drawn, told in zip(steps_between(circles(page)), steps_between(places), strict=True):
        assert drawn == pytest.approx(told, abs=0.05)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_wide_one_is_turned_and_not_mirrored(size: Size) -> None:
    places = [(0.0, 0.0), (210.0, 0.0), (210.0, 90.0), (0.0, 80.0)]
    page = sheets(places, size)[-1]
    assert "turned by a quarter" in page.extract_text()
    for (dx, dy), (x, y) in zip(steps_between(circles(page)), steps_between(places), strict=True):
        assert (dx, dy) == pytest.approx((y, -x), abs=0.05)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_large_one_is_on_sheets_that_are_laid_edge_to_edge(size: Size) -> None:
    places = [(0.0, 0.0), (180.0, 0.0), (20.0, 310.0), (160.0, 310.0)]
    _, upper, lower = sheets(places, size)
    assert "part 1 of 2" in upper.extract_text()
    assert "part 2 of 2" in lower.extract_text()
    assert "NOT" not in lower.extract_text()
    drawn_on = upper.get_contents().get_data().decode("latin-1")  # type: ignore[union-attr]
    frame_mm = max(float(found) for found in re.findall(r"[\d.]+ [\d.]+ [\d.]+ -?([\d.]+) re", drawn_on)) / MM
    joined = [*circles(upper), *((x, y + frame_mm) for x, y in circles(lower))]
    for drawn, told in zip(steps_between(joined), steps_between(places), strict=True):
        assert drawn == pytest.approx(told, abs=0.05)


def test_one_that_no_paper_holds_says_that_it_is_not_true() -> None:
    page = sheets([(0.0, 0.0), (900.0, 0.0), (0.0, 1200.0)], "A4")[-1]
    assert "NOT true size" in page.extract_text()


def test_nothing_is_drawn_beyond_what_a_printer_reaches() -> None:
    """4.2 mm: common practice for the unprinted edge of office printers, no source."""
    for size in ("A4", "Letter"):
        for places in ([(0.0, 0.0), (185.0, 0.0), (90.0, 100.0)], [(0.0, 0.0), (180.0, 0.0), (20.0, 310.0)]):
            for page in sheets(places, size):  # type: ignore[arg-type]
                for x, _ in circles(page):
                    assert 4.2 <= x - 3.2 <= x + 3.2 <= float(page.mediabox.width) / MM - 4.2
