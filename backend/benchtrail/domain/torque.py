"""Torque at the wrench: what to set when an adapter changes the lever, what a setting applies, stages, running torque.

Knows levers and shares; knows nothing of which wrench there is (`wrenches`) or what the bolt can bear (`fasteners`).
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from benchtrail.domain.answer import ARITHMETIC, Answer, Note, Source
from benchtrail.domain.bounds import bounded, positive, several
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import with_unit

MOST_NM = 2000
MOST_LEVER_MM = 3000
ADAPTER_SOURCE = Source("published", "TM 1-1500-204-23-9, figure 8-16; TM 55-1945-205-24-4, WP 0247")
STAGE_SOURCES = (Source("published", "Fluid Sealing Association, June 2012"),
                 Source("restated", "pipe-flange practice page"))
_UNTIL_LEVER = (Note("hand_off_grip_mark"), Note("extension_along_drive_axis"))


def torque_at_wrench(*, target_nm: float, lever_mm: float, adapter_mm: float = 0.0,
                     adapter_angle_deg: float = 0.0) -> Answer:
    """Setting for a torque wrench that carries an offset adapter.

    Formula: set = target · L / (L + E·cos a). `target_nm` above 0 to 2000; `lever_mm` L above 0 to 3000, drive centre
    to grip centre; `adapter_mm` E from 0 to 3000, drive centre to fastener centre; `adapter_angle_deg` a from −360 to
    360, 0 in line outwards, 90 square, 180 back over the handle. Returns `set_nm`, `factor` (set / target), `reach_mm`.
    Raises `adapter_cancels_lever` when L + E·cos a is not above 5 % of L, and what `positive` and `bounded` raise.
    Source: TM 1-1500-204-23-9, figure 8-16 (in line); TM 55-1945-205-24-4, WP 0247 (pointing back); other angles by
    statics. Stops being true when the hand is not at the grip mark, or for a straight extension along the drive axis.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    reach_mm, factor = _lever_factor(lever_mm, adapter_mm, adapter_angle_deg)
    values = {"target_nm": target, "set_nm": target * factor, "factor": factor, "reach_mm": reach_mm}
    shown = {**values, "lever_mm": lever_mm, "adapter_mm": adapter_mm, "adapter_angle_deg": adapter_angle_deg}
    notes = () if reach_mm > 0.5 * lever_mm else (Note("adapter_far_back"),)
    return Answer(values, Note("torque_at_wrench", shown), (ADAPTER_SOURCE, ARITHMETIC), _UNTIL_LEVER, notes)


def torque_applied(*, set_nm: float, lever_mm: float, adapter_mm: float = 0.0,
                   adapter_angle_deg: float = 0.0) -> Answer:
    """What reaches the fastener at a given setting with an adapter: the inverse of `torque_at_wrench`.

    Formula: applied = set · (L + E·cos a) / L. Arguments, errors, source and limits as there.
    """
    setting = positive(set_nm, "wrench setting", "N·m", MOST_NM)
    reach_mm, factor = _lever_factor(lever_mm, adapter_mm, adapter_angle_deg)
    values = {"set_nm": setting, "applied_nm": setting / factor, "factor": factor, "reach_mm": reach_mm}
    shown = {**values, "lever_mm": lever_mm, "adapter_mm": adapter_mm, "adapter_angle_deg": adapter_angle_deg}
    return Answer(values, Note("torque_applied", shown), (ADAPTER_SOURCE, ARITHMETIC), _UNTIL_LEVER)


def _lever_factor(lever_mm: float, adapter_mm: float, angle_deg: float) -> tuple[float, float]:
    """Effective reach L + E·cos a, and setting per target."""
    lever = positive(lever_mm, "lever length", "mm", MOST_LEVER_MM)
    adapter = bounded(adapter_mm, "adapter length", "mm", 0, MOST_LEVER_MM)
    angle = bounded(angle_deg, "adapter angle", "deg", -360, 360)
    reach = lever + adapter * cosine(angle)
    if reach <= 0.05 * lever:
        raise Refused("adapter_cancels_lever", lever=with_unit(lever, "mm"), adapter=with_unit(adapter, "mm"))
    return reach, lever / reach


def cosine(angle_deg: float) -> float:
    """Cosine of degrees, exactly 0 for a square angle."""
    return 0.0 if math.fmod(abs(angle_deg), 180) == 90 else math.cos(math.radians(angle_deg))


def running_torque(*, target_nm: float, running_nm: float) -> Answer:
    """Torque to set for a self-locking nut: the published torque plus what it takes to run the nut down.

    `target_nm` above 0, `running_nm` from 0, measured on this nut before it seats. Returns `set_nm`.
    Source: FAA AC 43.13-1B, paragraph 7-40. Stops being true when the source's figure already includes the drag.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    running = bounded(running_nm, "running torque", "N·m", 0, MOST_NM)
    values = {"target_nm": target, "running_nm": running, "set_nm": target + running}
    notes = [Note("nut_runs_free")] if running == 0 else [Note("nut_drags_hard")] if running > target else []
    source = Source("published", "FAA AC 43.13-1B (9/8/98), paragraph 7-40")
    return Answer(values, Note("running_torque", values), (source,), (Note("figure_includes_drag"),), tuple(notes))


def torque_stages(*, target_nm: float, shares: Sequence[float] = (30, 60, 100), wrench_low_nm: float = 0.0) -> Answer:
    """The torque of each stage, those below the wrench's lowest mark merged into the first that it can show.

    `shares` in % of the target, rising, the last 100; `wrench_low_nm` from 0. Returns `stages` (list of `share`,
    `torque_nm`) and `merged` (how many were left out). Raises `shares_not_rising`, `target_below_wrench`.
    Source: staging in 30, 60, 100 % as Fluid Sealing Association, June 2012, and pipe-flange practice; the merging is
    our own rule. Stops being true where the maker publishes stages or an angle.
    """
    target = positive(target_nm, "torque", "N·m", MOST_NM)
    low = bounded(wrench_low_nm, "lowest mark of the wrench", "N·m", 0, MOST_NM)
    rising = [bounded(share, "share", "%", 1, 100) for share in several(shares, "shares", 1, 10)]
    if rising[-1] != 100 or any(b <= a for a, b in pairwise(rising)):
        raise Refused("shares_not_rising")
    if target < low:
        raise Refused("target_below_wrench", target=with_unit(target, "N·m"), limit=with_unit(low, "N·m"))
    stages = [{"share": share, "torque_nm": target * share / 100} for share in rising]
    kept = [stage for stage in stages if stage["torque_nm"] >= low or stage["share"] == 100]
    merged = len(stages) - len(kept)
    notes = (Note("stages_merged", {"merged": merged, "wrench_low_nm": low}),) if merged else ()
    sources = STAGE_SOURCES
    working = Note("torque_stages", {"target_nm": target, "torques_nm": [stage["torque_nm"] for stage in kept]})
    return Answer({"stages": [dict(stage) for stage in kept], "merged": merged}, working, sources,
                  (Note("maker_publishes_stages"),), notes)
