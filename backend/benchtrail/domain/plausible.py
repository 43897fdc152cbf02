"""Whether a typed torque can belong to a bolt, and which slip of unit or point would explain it.

Knows bands, not truths: it asks, it never replaces what a source prints.
"""

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import positive
from benchtrail.domain.threads import GRADE_SOURCE, grade_of, thread_notes, thread_of
from benchtrail.domain.units import convert, unit_kind

_UNITS = ("N·m", "lbf·ft", "lbf·in", "kgf·m", "kgf·cm")
_BELOW, _ABOVE = 0.5, 1.2


def plausible_torque(*, value: float, unit: str, thread: str, grade: str = "8.8") -> Answer:
    """Where a torque lies against what the bolt bears, and what else the same digits could mean.

    Formula: usual band = K·d·0.75·As·Sp for K 0.12 to 0.20; ceiling K = 0.25 at proof load; floor K = 0.12 at a tenth
    of it. `value` above 0 to 10⁵ in `unit` (a torque unit); `thread`, `grade` as in `threads`. Returns `torque_nm`,
    `usual_low_nm`, `usual_high_nm`, `ceiling_nm`, `floor_nm`, `verdict`: plausible (half the usual low to 1.2 times
    the usual high), high, impossible (above the ceiling), low, very_low (below the floor); `candidates`: readings of
    the same digits that would be plausible. Raises as `thread_of`, `grade_of`, `convert`, `positive`.
    Source: our own band. Stops being true for covers and drain plugs, which are rightly low, and fine-tuned joints.
    """
    size = thread_of(thread)
    unit_kind(unit)
    torque = convert(positive(value, "torque", unit, 1e5), unit, "N·m")
    proof_arm_nm = size.stress_area_mm2 * grade_of(grade, size).proof_mpa * size.diameter_mm / 1000
    low, high, ceiling, floor = (share * proof_arm_nm for share in (0.12 * 0.75, 0.2 * 0.75, 0.25, 0.12 * 0.1))
    verdict = _verdict(torque, low, high, ceiling, floor)
    candidates = [] if verdict == "plausible" else _candidates(value, unit, low, high)
    values: dict[str, Value] = {"torque_nm": torque, "usual_low_nm": low, "usual_high_nm": high, "ceiling_nm": ceiling,
                                "floor_nm": floor, "verdict": verdict, "candidates": [dict(row) for row in candidates]}
    notes = (*thread_notes(size, grade), *_asks(verdict))
    return Answer(values, Note("plausible_torque", values), (Source("arithmetic", "our own band"), GRADE_SOURCE),
                  (Note("cover_or_drain_plug"), Note("maker_prints_figure")), notes)


def _verdict(torque: float, low: float, high: float, ceiling: float, floor: float) -> str:
    if torque > ceiling:
        return "impossible"
    if torque > _ABOVE * high:
        return "high"
    if torque >= _BELOW * low:
        return "plausible"
    return "low" if torque >= floor else "very_low"


def _candidates(value: float, unit: str, low: float, high: float) -> list[dict[str, Value]]:
    """The same digits in another unit, or with the point one place over, where that lies in the plausible band."""
    readings = [(value, other) for other in _UNITS if other != unit] + [(value / 10, unit), (value * 10, unit)]
    rows = [(number, other, convert(number, other, "N·m")) for number, other in readings]
    return [{"value": number, "unit": other, "torque_nm": torque} for number, other, torque in rows
            if _BELOW * low <= torque <= _ABOVE * high]


def _asks(verdict: str) -> tuple[Note, ...]:
    return () if verdict == "plausible" else (Note(f"torque_{verdict}"), Note("magnitude_cannot_tell_which"))
