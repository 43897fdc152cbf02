"""Torque with no torque wrench: a known weight on a lever, an arm and a scale, flats and angle.

Knows statics; every result here scatters at least as tightening by feel and is checked with a wrench at home.
"""

import math

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Source, Value
from benchtrail.domain.bounds import bounded, chosen, positive
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit
from benchtrail.domain.torque import MOST_LEVER_MM, MOST_NM, cosine

GRAVITY = 9.80665
_LEVER_SOURCES = (Source("published", "TM 9-254, page 4-4: 10 in × 6 lbf = 12 × 5 = 6 × 10 = 60 lbf·in"), ARITHMETIC)
_UNTIL = (Note("weight_hangs_freely"), Note("lever_square_to_fastener"))
_NOTES = (Note("scatter_as_by_feel"), Note("not_for_safety_joints"), Note("check_at_home"))


def torque_by_weight(*, mass_kg: float, lever_mm: float, below_level_deg: float = 0.0, bar_mass_kg: float = 0.0,
                     bar_centre_mm: float = 0.0) -> Answer:
    """Torque of a weight hung on a lever, its own weight included.

    Formula: T = g·(m·L + mb·c)·cos a, g = 9.80665. `mass_kg` 0 to 300; `lever_mm` L above 0 to 3000, fastener centre
    to where the weight hangs; `below_level_deg` a −80 to 80 from level; `bar_mass_kg` mb 0 to 50 and `bar_centre_mm`
    c 0 to 3000, where the bar balances. Returns `torque_nm`, `bar_nm`, `level_nm` (if it were level). Raises as
    `bounded`.
    Source: TM 9-254. Stops being true for a swinging weight, a bent bar, a rope not straight down.
    """
    bar_nm, level_share = _bar(bar_mass_kg, bar_centre_mm, below_level_deg)
    lever = positive(lever_mm, "lever length", "mm", MOST_LEVER_MM)
    mass = bounded(mass_kg, "weight", "kg", 0, 300)
    level = GRAVITY * mass * lever / 1000 + bar_nm
    values = {"torque_nm": level * level_share, "bar_nm": bar_nm * level_share, "level_nm": level}
    working = Note("torque_by_weight", {**values, "mass_kg": mass, "lever_mm": lever,
                                        "below_level_deg": below_level_deg})
    return Answer(values, working, _LEVER_SOURCES, _UNTIL, _NOTES)


def weight_for_torque(*, target_nm: float, lever_mm: float, below_level_deg: float = 0.0, bar_mass_kg: float = 0.0,
                      bar_centre_mm: float = 0.0) -> Answer:
    """The weight to hang at a given place for a torque: the inverse of `torque_by_weight` for the mass.

    Formula: m = (T/(g·cos a) − mb·c)/L. Arguments as there; `target_nm` above 0 to 2000. Returns `mass_kg`, `water_l`
    (litres of water at 20 °C, its can not counted). Raises `bar_alone_exceeds`, as `bounded`.
    Source: TM 9-254; water 998.2 kg/m³ by CoolProp 8.0.0. Limits as there.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    lever = positive(lever_mm, "lever length", "mm", MOST_LEVER_MM)
    bar_nm, level_share = _bar(bar_mass_kg, bar_centre_mm, below_level_deg)
    mass = _remaining(target, bar_nm, level_share) / (GRAVITY * lever / 1000)
    values = {"mass_kg": mass, "water_l": mass / 0.9982}
    working = Note("weight_for_torque", {**values, "target_nm": target, "lever_mm": lever, "bar_nm": bar_nm})
    notes = (*_NOTES, Note("lever_too_short_for_weight")) if mass > 100 else _NOTES
    return Answer(values, working, _LEVER_SOURCES, _UNTIL, notes)


def lever_for_torque(*, target_nm: float, mass_kg: float, below_level_deg: float = 0.0, bar_mass_kg: float = 0.0,
                     bar_centre_mm: float = 0.0) -> Answer:
    """Where to hang a known weight for a torque: the inverse of `torque_by_weight` for the length.

    Formula: L = (T/(g·cos a) − mb·c)/m. Arguments as there; `mass_kg` above 0. Returns `lever_mm`. Raises
    `bar_alone_exceeds`, `lever_longer_than_sense` above 3000 mm, as `bounded`. Source and limits as there.
    """
    target, mass = positive(target_nm, "torque", "N·m", MOST_NM), positive(mass_kg, "weight", "kg", 300)
    bar_nm, level_share = _bar(bar_mass_kg, bar_centre_mm, below_level_deg)
    lever = _remaining(target, bar_nm, level_share) / (GRAVITY * mass) * 1000
    if lever > MOST_LEVER_MM:
        raise Refused("lever_longer_than_sense", lever=with_unit(lever, "mm"))
    values = {"lever_mm": lever}
    working = Note("lever_for_torque", {**values, "target_nm": target, "mass_kg": mass, "bar_nm": bar_nm})
    return Answer(values, working, _LEVER_SOURCES, _UNTIL, _NOTES)


def _bar(mass_kg: float, centre_mm: float, below_level_deg: float) -> tuple[float, float]:
    """What the bar alone gives when level, N·m, and the share that a tilted lever delivers."""
    mass = bounded(mass_kg, "weight of the bar", "kg", 0, 50)
    centre = bounded(centre_mm, "balance point", "mm", 0, 3000)
    return GRAVITY * mass * centre / 1000, cosine(bounded(below_level_deg, "angle below level", "deg", -80, 80))


def _remaining(target: float, bar_nm: float, level_share: float) -> float:
    left = target / level_share - bar_nm
    if left < 0:
        raise Refused("bar_alone_exceeds", bar=with_unit(bar_nm * level_share, "N·m"), target=with_unit(target, "N·m"))
    return left


def scale_for_torque(*, target_nm: float, arm_mm: float, pull_angle_deg: float = 90.0) -> Answer:
    """What a luggage or fish scale must read at the end of an arm for a torque.

    Formula: F = T/(L·sin b), reading = F/g. `target_nm` above 0 to 2000; `arm_mm` L above 0 to 3000, fastener centre
    to the hook; `pull_angle_deg` b between arm and pull, 30 to 150. Returns `scale_kg`, `force_n`. Raises as
    `bounded`.
    Source: statics, as TM 9-254. Stops being true when the pull is not square to the fastener's axis, or the scale is
    not read while moving.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    arm = positive(arm_mm, "arm length", "mm", MOST_LEVER_MM)
    angle = bounded(pull_angle_deg, "angle between arm and pull", "deg", 30, 150)
    force = target / (arm / 1000 * math.sin(math.radians(angle)))
    values = {"scale_kg": force / GRAVITY, "force_n": force}
    working = Note("scale_for_torque", {**values, "target_nm": target, "arm_mm": arm, "pull_angle_deg": angle})
    until = (Note("lever_square_to_fastener"), Note("read_while_moving"))
    return Answer(values, working, _LEVER_SOURCES, until, _NOTES)


def flats_for_angle(*, angle_deg: float | None, fastener: str = "hexagon") -> Answer:
    """How many flats to turn for a published angle, after snug.

    Formula: flats = angle/60 on a hexagon, /90 on a square; an open-end spanner turned over gives 15°. `angle_deg`
    above 0 to 720, only as published; `fastener` hexagon or square. Returns `flats`, `whole_flats`, `rest_deg`,
    `spanner_turns` (15° steps in the rest). Raises `angle_not_published` without an angle, as `positive`,
    `choice_unknown`.
    Source: TM 55-2840-231-23 appendix H, page H-4. Stops being true for bolts whose maker gives a torque only.
    """
    if angle_deg is None:
        raise Refused("angle_not_published")
    angle = positive(angle_deg, "angle", "deg", 720)
    per_flat = chosen({"hexagon": 60.0, "square": 90.0}, fastener, "fastener")
    flats = math.floor(angle / per_flat)
    rest = angle - flats * per_flat
    values: dict[str, Value] = {"flats": angle / per_flat, "whole_flats": flats, "rest_deg": rest,
                                "spanner_turns": rest / 15}
    source = Source("published", "TM 55-2840-231-23, appendix H, page H-4: 60° a flat, 15° by an open-end spanner")
    working = Note("flats_for_angle", {**values, "angle_deg": angle, "per_flat_deg": per_flat})
    return Answer(values, working, (source,), (Note("angle_only_where_published"), Note("snug_defined_by_source")),
                  (Note("check_at_home"),))
