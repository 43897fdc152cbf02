"""Metric threads and property classes: stress area and proof load.

Knows geometry and strength classes; knows nothing of friction or torque.
"""

import math
import re
from dataclasses import dataclass

from benchtrail.domain.answer import Answer, Note, Source
from benchtrail.domain.bounds import as_written, chosen
from benchtrail.domain.refused import Refused

PITCHES = {
    3: (0.5,), 4: (0.7,), 5: (0.8,), 6: (1.0,), 7: (1.0,), 8: (1.25, 1.0), 10: (1.5, 1.25, 1.0), 12: (1.75, 1.5, 1.25),
    14: (2.0, 1.5), 16: (2.0, 1.5), 18: (2.5, 2.0, 1.5), 20: (2.5, 2.0, 1.5), 22: (2.5, 2.0, 1.5), 24: (3.0, 2.0),
}
UNKNOWN_GRADE = "unknown"
GEOMETRY_SOURCE = Source("restated", "ISO 898-1 stress area, ISO 724 diameters")
GRADE_SOURCE = Source("restated", "EN ISO 898-1:2013, table 3")


@dataclass(frozen=True)
class Thread:
    """A metric thread: outer diameter and pitch in mm, and whether ISO 262 lists the pair."""

    diameter_mm: float
    pitch_mm: float
    usual: bool

    @property
    def pitch_diameter_mm(self) -> float:
        return self.diameter_mm - 0.75 * math.sqrt(3) / 2 * self.pitch_mm

    @property
    def root_diameter_mm(self) -> float:
        return self.diameter_mm - 17 / 24 * math.sqrt(3) * self.pitch_mm

    @property
    def stress_area_mm2(self) -> float:
        return math.pi / 4 * ((self.pitch_diameter_mm + self.root_diameter_mm) / 2) ** 2


@dataclass(frozen=True)
class Grade:
    """A property class, MPa: proof stress, lower limit of yield, tensile strength."""

    proof_mpa: float
    yield_mpa: float
    tensile_mpa: float


_GRADES = {
    "4.6": Grade(225, 240, 400), "5.8": Grade(380, 420, 520), "8.8": Grade(580, 640, 800),
    "10.9": Grade(830, 940, 1040), "12.9": Grade(970, 1100, 1220), UNKNOWN_GRADE: Grade(225, 240, 400),
}
_GRADE_8_8_ABOVE_M16 = Grade(600, 660, 830)


def thread_of(text: object) -> Thread:
    """The thread written as `M6x1`, `M8 × 1.25`, `M10*1,5`; diameters M2 to M36.

    Raises `thread_unreadable`, `pitch_missing` (a socket size or a bare M8 does not say the pitch), `pitch_impossible`.
    """
    written = as_written(text)
    plain = re.sub("[ \u00a0]", "", written).replace(",", ".").upper()
    match = re.fullmatch(r"M([0-9]{1,2}(?:\.[0-9])?)(?:[X×*-]([0-9](?:\.[0-9]{1,2})?))?", plain)
    if not match or not 2 <= float(match[1]) <= 36:
        raise Refused("thread_unreadable", written=written)
    diameter = float(match[1])
    pitches = PITCHES.get(int(diameter), ()) if diameter == int(diameter) else ()
    if match[2] is None:
        candidates = " or ".join(f"M{match[1]}x{pitch:g}" for pitch in pitches) or f"M{match[1]}x…"
        raise Refused("pitch_missing", written=written, candidates=candidates)
    pitch = float(match[2])
    if not 0.2 <= pitch <= diameter / 3:
        raise Refused("pitch_impossible", written=written)
    return Thread(diameter, pitch, pitch in pitches)


def grade_of(grade: object, thread: Thread) -> Grade:
    """Strengths of a property class for a thread; `unknown` counts as 4.6. Raises `choice_unknown`."""
    found = chosen(_GRADES, grade, "property class")
    return _GRADE_8_8_ABOVE_M16 if grade == "8.8" and thread.diameter_mm > 16 else found


def thread_notes(thread: Thread, grade: str = "") -> tuple[Note, ...]:
    """What to say of an unusual pitch and of an unmarked bolt."""
    notes = [] if thread.usual else [Note("pitch_unusual")]
    return (*notes, Note("grade_unknown")) if grade == UNKNOWN_GRADE else tuple(notes)


def stress_area(*, thread: str) -> Answer:
    """Stress area of a metric thread.

    Formula: As = π/4 · ((d2 + d3)/2)², d2 = d − 0.649519 P, d3 = d − 1.226869 P. `thread` as `thread_of` reads it.
    Returns `stress_area_mm2`, `pitch_diameter_mm`, `root_diameter_mm`. Raises as `thread_of`.
    Source: ISO 898-1 and ISO 724, in restatements. Stops being true for a worn, repaired or reduced-shank thread.
    """
    size = thread_of(thread)
    values = {"diameter_mm": size.diameter_mm, "pitch_mm": size.pitch_mm, "stress_area_mm2": size.stress_area_mm2,
              "pitch_diameter_mm": size.pitch_diameter_mm, "root_diameter_mm": size.root_diameter_mm}
    return Answer(values, Note("stress_area", values), (GEOMETRY_SOURCE,), (Note("thread_worn"),), thread_notes(size))


def proof_load(*, thread: str, grade: str) -> Answer:
    """Proof load of a bolt: what it bears without staying longer.

    Formula: F = As · Sp. `thread` as `thread_of`; `grade` 4.6, 5.8, 8.8, 10.9, 12.9 or unknown (then as 4.6).
    Returns `proof_n`, `proof_mpa`, `yield_mpa`, `break_n`, `stress_area_mm2`. Raises as `thread_of`, `choice_unknown`.
    Source: EN ISO 898-1:2013 table 3, in a restatement; its printed loads differ by up to 0.61 % by their rounding.
    Stops being true for stainless, unmarked, hot-galvanised or used-up bolts.
    """
    size = thread_of(thread)
    strength = grade_of(grade, size)
    area = size.stress_area_mm2
    values = {"proof_n": area * strength.proof_mpa, "proof_mpa": strength.proof_mpa, "yield_mpa": strength.yield_mpa,
              "break_n": area * strength.tensile_mpa, "stress_area_mm2": area}
    until = (Note("bolt_not_marked_so"), Note("thread_worn"))
    return Answer(values, Note("proof_load", values), (GRADE_SOURCE, GEOMETRY_SOURCE), until, thread_notes(size, grade))
