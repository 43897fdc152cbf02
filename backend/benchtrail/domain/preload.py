"""What a torque does to a bolt: preload as a band, by lubrication, short and long form, and how far it scatters.

Knows friction and its uncertainty; never offers a torque as a specification and never corrects a published one.
"""

import math

from benchtrail.domain.answer import Answer, Note, Source
from benchtrail.domain.bounds import bounded, chosen, positive
from benchtrail.domain.refused import Refused
from benchtrail.domain.threads import GEOMETRY_SOURCE, GRADE_SOURCE, grade_of, thread_notes, thread_of

# lubrication → nut factor from, to
_NUT_FACTORS = {
    "dry": (0.18, 0.27), "oiled": (0.10, 0.26), "zinc": (0.17, 0.35), "cadmium": (0.15, 0.19),
    "phosphate_oiled": (0.15, 0.22), "stainless_dry": (0.30, 0.50),
}
_NO_SOURCE = {"threadlocker", "anti_seize", "grease"}
_FRICTION_SOURCE = Source("restated", "nut-factor list of a fastener supplier; no single authority exists")
_SHORT_FORM = Source("published", "Speck, Mechanical Fastening, Joining, and Assembly, page 85")
# outer diameter → bearing diameter of an ISO 4014 head, ISO 273 medium hole, mm
_HEADS = {4.0: (5.9, 4.5), 5.0: (6.9, 5.5), 6.0: (8.9, 6.6), 8.0: (11.6, 9.0), 10.0: (14.6, 11.0), 12.0: (16.6, 13.5),
          14.0: (19.6, 15.5), 16.0: (22.5, 17.5)}
# method → preload scatter, ± %
_SCATTER = {
    "feel": (35.0, 35.0), "weight_on_lever": (35.0, 35.0), "torque_wrench": (25.0, 35.0), "turn_of_nut": (15.0, 15.0),
    "stretch": (3.0, 5.0),
}


def nut_factors(lubrication: object) -> tuple[float, float]:
    """Lowest and highest nut factor K of a lubrication. Raises `friction_no_source` where no source gives one."""
    if isinstance(lubrication, str) and lubrication in _NO_SOURCE:
        raise Refused("friction_no_source", lubrication=lubrication)
    return chosen(_NUT_FACTORS, lubrication, "lubrication")


def preload_band(*, torque_nm: float, thread: str, grade: str, lubrication: str) -> Answer:
    """Preload that a torque gives, from the slipperiest to the roughest of its lubrication.

    Formula: F = T / (K·d). `torque_nm` above 0 to 2000; `thread`, `grade` as in `threads`; `lubrication` dry, oiled,
    zinc, cadmium, phosphate_oiled, stainless_dry. Returns `preload_low_n`, `preload_high_n`, their shares of proof
    load in %, `k_low`, `k_high`. Raises as `thread_of`, `grade_of`, `nut_factors`, `positive`.
    Source: Speck, page 85 (relation); K from a supplier's list. Stops being true with any other lubricant or plating.
    """
    torque = positive(torque_nm, "torque", "N·m", 2000)
    size = thread_of(thread)
    proof = size.stress_area_mm2 * grade_of(grade, size).proof_mpa
    k_low, k_high = nut_factors(lubrication)
    low, high = (torque * 1000 / (k * size.diameter_mm) for k in (k_high, k_low))
    values = {"preload_low_n": low, "preload_high_n": high, "share_low_percent": low / proof * 100,
              "share_high_percent": high / proof * 100, "k_low": k_low, "k_high": k_high, "proof_n": proof}
    notes = (*thread_notes(size, grade), Note("published_torque_stands"))
    notes = (*notes, Note("may_pass_proof", {"share_percent": high / proof * 100})) if high > proof else notes
    working = Note("preload_band", {**values, "torque_nm": torque, "diameter_mm": size.diameter_mm})
    return Answer(values, working, (_SHORT_FORM, _FRICTION_SOURCE, GRADE_SOURCE), (Note("other_lubrication"),), notes)


def check_torque(*, thread: str, grade: str, lubrication: str, published: bool = False) -> Answer:
    """A torque to compare with, at 75 % of proof load: a check, never a specification.

    Formula: T = K·d·0.75·As·Sp for the lowest and highest K. Arguments as `preload_band`; `published` true when a
    source gives a figure. Returns `torque_low_nm`, `torque_high_nm`. Raises `published_figure_stands` then, else as
    there.
    Source: 75 % of proof is common practice; relation and K as `preload_band`. Stops being true in aluminium, on a
    gasket, with a locker, and wherever the maker prints a figure.
    """
    if published:
        raise Refused("published_figure_stands")
    size = thread_of(thread)
    proof = size.stress_area_mm2 * grade_of(grade, size).proof_mpa
    low, high = (k * size.diameter_mm * 0.75 * proof / 1000 for k in nut_factors(lubrication))
    values = {"torque_low_nm": low, "torque_high_nm": high, "proof_n": proof}
    until = (Note("maker_prints_figure"), Note("soft_parent_or_gasket"), Note("other_lubrication"))
    sources = (_SHORT_FORM, _FRICTION_SOURCE, Source("practice"))
    notes = (Note("check_not_specification"), *thread_notes(size, grade))
    return Answer(values, Note("check_torque", values), sources, until, notes)


def preload_long(*, thread: str, grade: str, friction_thread: float, friction_head: float, share_percent: float = 90.0,
                 head_mm: float | None = None, hole_mm: float | None = None) -> Answer:
    """Preload and torque at a share of yield, from the friction in the thread and under the head.

    Formula: F = As·ν·Rp / √(1 + 3·[(3/2)·(d2/d0)·(P/(π·d2) + 1.155·µt)]²), d0 = (d2+d3)/2; T = F·(P/2π +
    0.57735·d2·µt + ½·Db·µh), Db = (head + hole)/2. Friction 0.02 to 0.6; `share_percent` ν 1 to 100; `head_mm`,
    `hole_mm` above the diameter, default ISO 4014 and ISO 273 medium for M4 to M16. Returns `preload_n`, `torque_nm`,
    `k` = T/(F·d). Raises `head_unknown`, and as `thread_of`, `grade_of`, `bounded`.
    Source: VDI 2230 and ISO 16047 from memory; M12 8.8 µ 0.14 agrees within 0.2 % with 41.9 kN in a restatement of
    2015. Stops being true for fine-tuned heads, washers that turn, and any friction not measured: editions differ by
    12 %.
    """
    size = thread_of(thread)
    strength = grade_of(grade, size)
    in_thread = bounded(friction_thread, "friction in the thread", "", 0.02, 0.6)
    under_head = bounded(friction_head, "friction under the head", "", 0.02, 0.6)
    share = bounded(share_percent, "share of yield", "%", 1, 100) / 100
    head, hole = _bearing(size.diameter_mm, head_mm, hole_mm)
    d2, pitch = size.pitch_diameter_mm, size.pitch_mm
    d0 = (d2 + size.root_diameter_mm) / 2
    twist = 1.5 * d2 / d0 * (pitch / (math.pi * d2) + 2 / math.sqrt(3) * in_thread)
    preload = size.stress_area_mm2 * share * strength.yield_mpa / math.sqrt(1 + 3 * twist**2)
    arm_mm = pitch / (2 * math.pi) + d2 * in_thread / math.sqrt(3) + (head + hole) / 4 * under_head
    values = {"preload_n": preload, "torque_nm": preload * arm_mm / 1000, "k": arm_mm / size.diameter_mm}
    sources = (Source("memory", "VDI 2230, ISO 16047"), GRADE_SOURCE, GEOMETRY_SOURCE)
    notes = (Note("check_not_specification"), *thread_notes(size, grade))
    working = Note("preload_long", {**values, "share_percent": share * 100, "friction_thread": in_thread})
    return Answer(values, working, sources, (Note("friction_not_measured"), Note("maker_prints_figure")), notes)


def _bearing(diameter_mm: float, head_mm: float | None, hole_mm: float | None) -> tuple[float, float]:
    """Bearing diameter and hole, given or from the tables."""
    head, hole = _HEADS.get(diameter_mm, (None, None))
    head, hole = head if head_mm is None else head_mm, hole if hole_mm is None else hole_mm
    if head is None or hole is None:
        raise Refused("head_unknown")
    hole = bounded(hole, "hole diameter", "mm", diameter_mm, 4 * diameter_mm)
    return bounded(head, "head bearing diameter", "mm", hole, 8 * diameter_mm), hole


def preload_scatter(*, preload_n: float, method: str, tool_error_percent: float = 4.0,
                    lubricated: bool = True) -> Answer:
    """How far the preload scatters, kept apart from the error of the tool.

    Formula: low, high = F·(1 ∓ s). `preload_n` above 0 to 10⁷; `method` feel, weight_on_lever, torque_wrench,
    turn_of_nut, stretch; `tool_error_percent` 0 to 50; `lubricated` false takes ±35 % for a torque wrench. Returns
    `scatter_percent`, `low_n`, `high_n`, `ratio` (high/low), `tool_error_percent`. Raises `choice_unknown`, as
    `bounded`.
    Source: Machinery's Handbook table in a restatement; lubricated or not: J. Failure Analysis and Prevention 2019,
    read. Stops being true for a joint that was tested itself.
    """
    preload = positive(preload_n, "preload", "N", 1e7)
    tool = bounded(tool_error_percent, "tool error", "%", 0, 50)
    best, rough = chosen(_SCATTER, method, "method of tightening")
    scatter = best if lubricated and method != "stretch" else rough
    low, high = preload * (1 - scatter / 100), preload * (1 + scatter / 100)
    values = {"scatter_percent": scatter, "low_n": low, "high_n": high, "ratio": high / low, "tool_error_percent": tool}
    sources = (Source("restated", "Machinery's Handbook, accuracy of preload methods"),
               Source("published", "J. Failure Analysis and Prevention 2019, doi 10.1007/s11668-019-00693-z"))
    notes = (Note("tool_error_is_not_scatter", {"tool_error_percent": tool, "scatter_percent": scatter}),)
    working = Note("preload_scatter", {**values, "preload_n": preload})
    return Answer(values, working, sources, (Note("joint_tested"),), notes)
