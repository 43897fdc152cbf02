"""Which gives way first, the bolt or the thread it sits in, and how much engaged thread it needs.

Knows shear areas of coarse metric threads; never calls a repaired or corroded thread safe.
"""

import math

from benchtrail.domain.answer import Answer, Note, Source
from benchtrail.domain.bounds import bounded, positive
from benchtrail.domain.refused import Refused
from benchtrail.domain.threads import grade_of, thread_notes, thread_of

# thread → least outer diameter of the bolt, its least pitch diameter, largest inner and pitch diameter of the hole, mm
_LIMITS = {
    (4.0, 0.7): (3.838, 3.433, 3.422, 3.663), (5.0, 0.8): (4.826, 4.361, 4.334, 4.605),
    (6.0, 1.0): (5.794, 5.212, 5.153, 5.500), (8.0, 1.25): (7.760, 7.042, 6.912, 7.348),
    (10.0, 1.5): (9.732, 8.862, 8.676, 9.206), (12.0, 1.75): (11.701, 10.679, 10.441, 11.063),
    (14.0, 2.0): (13.682, 12.503, 12.210, 12.913), (16.0, 2.0): (15.682, 14.503, 14.210, 14.913),
}
SOURCES = (
    Source("memory", "FED-STD-H28/2 shear areas, ISO 965 limits 6g/6H; M6 to M10 agree with a restated table"),
)


def shear_areas(thread: str) -> tuple[float, float]:
    """Shear area in mm² per mm of engagement, of the hole's thread and the bolt's. Raises `thread_limits_missing`."""
    size = thread_of(thread)
    limits = _LIMITS.get((size.diameter_mm, size.pitch_mm))
    if limits is None:
        raise Refused("thread_limits_missing", written=thread)
    outer, bolt_pitch, inner, hole_pitch = limits
    hole = shear_area_per_mm(outer, size.pitch_mm, outer - hole_pitch)
    return hole, shear_area_per_mm(inner, size.pitch_mm, bolt_pitch - inner)


def shear_area_per_mm(diameter_mm: float, pitch_mm: float, overlap_mm: float) -> float:
    """Shear area of a 60° thread at a diameter, in mm² per mm: π/P · d · (P/2 + overlap/√3)."""
    return math.pi / pitch_mm * diameter_mm * (pitch_mm / 2 + overlap_mm / math.sqrt(3))


def thread_strip(*, thread: str, grade: str, engaged_mm: float, shear_mpa: float, load_n: float | None = None,
                 parent: str = "aluminium") -> Answer:
    """Whether the bolt breaks or its hole strips, and the engagement at which both are equal.

    Formula: strip = τ·Le·π/P·dmin·(P/2 + 0.57735·(dmin − D2max)); break = As·Rm; needed = load / (strip per mm).
    `thread` coarse M4 to M16; `engaged_mm` Le above 0 to 100, full threads only; `shear_mpa` τ of the parent 10 to
    1000; `load_n` above 0, default the bolt's break load; `parent` any word. Returns `strip_n`, `break_n`, `first`
    (hole or bolt), `needed_mm`, `engaged_diameters`, `hole_area_mm2`, `bolt_area_mm2`. Raises
    `thread_limits_missing`, as `bounded`.
    Source: FED-STD-H28/2 from memory. Stops being true for repaired, corroded or dirty threads; a NASA-style pull-out
    formula allows 2.6 times less.
    """
    size = thread_of(thread)
    engaged = positive(engaged_mm, "engaged length", "mm", 100)
    shear = bounded(shear_mpa, "shear strength of the parent", "MPa", 10, 1000)
    per_mm_hole, per_mm_bolt = shear_areas(thread)
    breaks = size.stress_area_mm2 * grade_of(grade, size).tensile_mpa
    load = breaks if load_n is None else positive(load_n, "load", "N", 1e7)
    strip = shear * per_mm_hole * engaged
    values = {"strip_n": strip, "break_n": breaks, "first": "hole" if strip < breaks else "bolt",
              "needed_mm": load / (shear * per_mm_hole), "engaged_diameters": engaged / size.diameter_mm,
              "hole_area_mm2": per_mm_hole * engaged, "bolt_area_mm2": per_mm_bolt * engaged}
    notes = [*thread_notes(size, grade)]
    if parent == "aluminium" and engaged < 1.5 * size.diameter_mm:
        notes.append(Note("short_in_aluminium", {"diameters": engaged / size.diameter_mm}))
    until = (Note("thread_repaired_or_corroded"), Note("incomplete_threads_counted"))
    return Answer(values, Note("thread_strip", {**values, "engaged_mm": engaged, "shear_mpa": shear}), SOURCES, until,
                  tuple(notes))
