"""Whether a brake fluid may go into a system: families never mix, grades compare by boiling point.

Knows families and least boiling points; a system's own marking on its cap always decides.
"""

from dataclasses import dataclass

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import chosen
from benchtrail.domain.refused import Refused


@dataclass(frozen=True)
class _Fluid:
    family: str
    grade: int
    dry_c: float | None
    wet_c: float | None


_FLUIDS = {
    "DOT 3": _Fluid("glycol", 3, 205, 140),
    "DOT 4": _Fluid("glycol", 4, 230, 155),
    "DOT 5.1": _Fluid("glycol", 5, 260, 180),
    "DOT 5": _Fluid("silicone", 5, 260, 180),
    "mineral oil": _Fluid("mineral", 0, None, None),
}
_SOURCES = (
    Source("restated", "49 CFR 571.116 (FMVSS 116) S5.1.1, S5.1.2"),
    Source("published", "NHTSA interpretation 12089.MLS, 24 July 1996: DOT 4 wet 155 °C"),
)


def brake_fluid(*, asked: str, offered: str) -> Answer:
    """Whether `offered` may go where `asked` is marked: DOT 3, DOT 4, DOT 5.1 (glycol), DOT 5 (silicone), mineral oil.

    Rule: another family is refused; within one, a lower least boiling point is `lower`, a higher one `higher`, else
    `same`. Returns `verdict`, `family`, `dry_c`, `wet_c` of the offered, `asked_dry_c`, `asked_wet_c`; none for mineral
    oil. Raises `brake_fluid_other_family`, `choice_unknown`.
    Source: FMVSS 116, in restatements. Stops being true for old or opened bottles: fluid takes up water from the air.
    """
    wants, has = chosen(_FLUIDS, asked, "brake fluid"), chosen(_FLUIDS, offered, "brake fluid")
    if wants.family != has.family:
        raise Refused("brake_fluid_other_family", asked=asked, offered=offered, family=wants.family, other=has.family)
    verdict = "same" if wants.grade == has.grade else "lower" if has.grade < wants.grade else "higher"
    values: dict[str, Value] = {"verdict": verdict, "family": has.family, "dry_c": has.dry_c, "wet_c": has.wet_c,
                                "asked_dry_c": wants.dry_c, "asked_wet_c": wants.wet_c}
    notes = (Note("brake_fluid_lower_grade"),) if verdict == "lower" else ()
    working = Note("brake_fluid", {**values, "asked": asked, "offered": offered})
    return Answer(values, working, _SOURCES, (Note("bottle_opened_before"), Note("cap_marking_decides")),
                  (*notes, Note("brakes_are_a_safety_system")))
