"""Reads a published figure: value, bounds and unit from the text as printed, and whether printed pairs agree.

Knows how a figure is written (shared/README.md §4, §6); nothing of the joint or check that it belongs to.
"""

from typing import Any

from benchtrail.domain.findings import Severity
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.spellings import KINDS
from benchtrail.domain.units import Pair, parse_pair, with_tolerance

# difference in per cent of the first value, where the rounding of the printed digits does not explain it; our own steps
PAIR_STEPS = ((10.0, Severity.ERROR), (1.5, Severity.WARNING), (0.5, Severity.NOTE))


def compile_figure(notes: Notes, key: str, written: dict[str, Any]) -> dict[str, Any]:
    """The compiled figure; one that cannot be read keeps its words, has no numbers, and is noted as broken."""
    path = f"figures.{key}"
    line = notes.where(f"{path}.as_published", path).line
    figure = {"id": key, "value": None, "low": None, "high": None, "unit": KINDS[written["kind"]], **written}
    if f"{path}.as_published" not in notes.lines:
        return figure
    try:
        pair = parse_pair(written["as_published"], written["kind"])
    except Refused as refusal:
        notes.add(refusal.code, line, refusal.values, check="M5", figure=key)
        notes.broken.add(path)
        return figure
    note_pair(notes, key, pair, line)
    bounded = pair.main
    if written["tolerance"] is not None:
        try:
            bounded = with_tolerance(pair.main, written["tolerance"])
        except Refused as refusal:
            line = notes.where(f"{path}.tolerance", path).line
            notes.add(refusal.code, line, refusal.values, check="M5", figure=key)
            notes.broken.add(path)
    return figure | {"value": bounded.value, "low": bounded.low, "high": bounded.high, "unit": bounded.unit}


def note_pair(notes: Notes, key: str, pair: Pair, line: int) -> None:
    """M7: the second printed unit says something else than the first."""
    if pair.other is None or pair.difference_percent is None or not pair.beyond_rounding_percent:
        return
    percent = abs(pair.difference_percent)
    severity = next((severity for least, severity in PAIR_STEPS if percent > least), None)
    if severity is None:
        return
    notes.add("figure_pair_disagrees", line, check="M7", severity=severity, figure=key, written=pair.main.as_written,
              other=pair.other.as_written, percent=f"{percent:.1f}")
