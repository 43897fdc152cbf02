"""What must hold of the calculations whatever the numbers: round trips, order kept, units without influence, no NaN."""

import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from tests.bench.twin_inputs import GENERATORS

from benchtrail.domain.answer import Answer, answer_data
from benchtrail.domain.bottles import bottle_plan
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.coolant import (
    coolant_for_cold,
    coolant_freeze,
    drain_and_refill,
    drain_for_target,
    expansion_room,
)
from benchtrail.domain.plausible import plausible_torque
from benchtrail.domain.preload import preload_band, preload_long
from benchtrail.domain.premix import premix_correct, premix_oil, premix_top_up
from benchtrail.domain.refused import Refused
from benchtrail.domain.shims import shim_swap, shim_to_fit
from benchtrail.domain.threads import proof_load
from benchtrail.domain.tightening_order import tightening_order
from benchtrail.domain.torque import torque_applied, torque_at_wrench
from benchtrail.domain.trail_side import lever_for_torque, torque_by_weight, weight_for_torque
from benchtrail.domain.tyres import air_pressure_kpa, tyre_reads, tyre_set_here
from benchtrail.domain.units import convert
from benchtrail.domain.wrenches import choose_wrench

# a machine under load must not fail a property for being slow
settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

torques = st.floats(min_value=0.5, max_value=300)
levers = st.floats(min_value=50, max_value=1200)
adapters = st.floats(min_value=0, max_value=400)
angles = st.floats(min_value=-360, max_value=360)
threads = st.sampled_from(["M5x0.8", "M6x1", "M8x1.25", "M10x1.5", "M12x1.75"])
ratios = st.floats(min_value=10, max_value=200)
shares = st.floats(min_value=0, max_value=100)


def number(answer: Answer, name: str) -> float:
    value = answer.values[name]
    assert isinstance(value, int | float)
    assert math.isfinite(value)
    return value


def or_assume(calculate: Callable[[], Answer]) -> Answer:
    """The answer; a refused input is no case of the property."""
    try:
        return calculate()
    except Refused:
        assume(False)
        raise


@given(torques, levers, adapters, angles)
def test_set_applied_set(target: float, lever: float, adapter: float, angle: float) -> None:
    there = or_assume(
        lambda: torque_at_wrench(target_nm=target, lever_mm=lever, adapter_mm=adapter, adapter_angle_deg=angle)
    )
    assume(number(there, "set_nm") <= 2000)
    back = torque_applied(set_nm=number(there, "set_nm"), lever_mm=lever, adapter_mm=adapter, adapter_angle_deg=angle)
    assert number(back, "applied_nm") == pytest.approx(target, rel=1e-12)


@given(
    torques,
    levers,
    adapters,
    angles,
    st.sampled_from(["lbf·ft", "lbf·in", "kgf·m", "kgf·cm"]),
    st.sampled_from(["in", "cm"]),
)
def test_units_never_change_the_setting(
    target: float, lever: float, adapter: float, angle: float, unit: str, length: str
) -> None:
    plain = or_assume(
        lambda: torque_at_wrench(target_nm=target, lever_mm=lever, adapter_mm=adapter, adapter_angle_deg=angle)
    )
    assume(number(plain, "reach_mm") > 0.06 * lever)
    again = torque_at_wrench(
        target_nm=convert(convert(target, "N·m", unit), unit, "N·m"),
        lever_mm=convert(convert(lever, "mm", length), length, "mm"),
        adapter_mm=convert(convert(adapter, "mm", length), length, "mm"),
        adapter_angle_deg=angle,
    )
    assert number(again, "set_nm") == pytest.approx(number(plain, "set_nm"), rel=1e-9)


@given(torques, levers, st.floats(min_value=1, max_value=400), st.floats(min_value=0, max_value=89))
def test_a_longer_adapter_outwards_needs_less_setting(
    target: float, lever: float, adapter: float, angle: float
) -> None:
    short, long = (
        number(torque_at_wrench(target_nm=target, lever_mm=lever, adapter_mm=a, adapter_angle_deg=angle), "set_nm")
        for a in (adapter, adapter + 10)
    )
    assert long < short <= target


@given(
    torques,
    st.floats(min_value=0, max_value=0.7),
    st.floats(min_value=1.5, max_value=6),
    st.sampled_from([0, 0.01, 0.05, 0.1]),
    st.sampled_from(["N·m", "lbf·ft", "lbf·in"]),
)
def test_a_chosen_wrench_stays_inside_its_marks_and_near_the_target(
    target: float, below: float, above: float, share: float, unit: str
) -> None:
    wanted = convert(target, "N·m", unit)
    low, high, step = wanted * below, wanted * above, wanted * share
    answer = choose_wrench(
        target_nm=target, wrenches=[{"name": "w", "low": low, "high": high, "unit": unit, "step": step}]
    )
    rows: Any = answer.values["rows"]
    setting = rows[0]["set"]
    assert answer.values["best"] == "w" or share == 0.1
    assert low <= setting <= high
    assert abs(setting - wanted) <= step / 2 * (1 + 1e-9) + 1e-9 * wanted
    assert rows[0]["applied_nm"] == pytest.approx(convert(setting, unit, "N·m"))


@given(threads, torques, st.sampled_from(["dry", "oiled", "zinc"]))
def test_preload_grows_with_torque_and_scales(thread: str, torque: float, lubrication: str) -> None:
    once, twice = (
        preload_band(torque_nm=t, thread=thread, grade="8.8", lubrication=lubrication) for t in (torque, 2 * torque)
    )
    assert number(twice, "preload_low_n") == pytest.approx(2 * number(once, "preload_low_n"))
    assert number(once, "preload_low_n") < number(once, "preload_high_n")


@given(threads, st.floats(min_value=0.03, max_value=0.5))
def test_more_friction_gives_less_preload_for_more_torque(thread: str, friction: float) -> None:
    less, more = (
        preload_long(thread=thread, grade="8.8", friction_thread=f, friction_head=f)
        for f in (friction, friction + 0.05)
    )
    assert number(more, "preload_n") < number(less, "preload_n")
    assert number(more, "k") > number(less, "k")


@pytest.mark.parametrize("thread", ["M5x0.8", "M6x1", "M8x1.25", "M10x1.5", "M12x1.75"])
def test_a_stronger_class_bears_more(thread: str) -> None:
    loads = [
        number(proof_load(thread=thread, grade=grade), "proof_n") for grade in ("4.6", "5.8", "8.8", "10.9", "12.9")
    ]
    assert loads == sorted(loads)
    assert number(proof_load(thread=thread, grade="unknown"), "proof_n") == loads[0]


@given(threads, torques, st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kgf·m"]))
def test_the_verdict_on_a_torque_does_not_depend_on_its_unit(thread: str, torque: float, unit: str) -> None:
    plain = plausible_torque(value=torque, unit="N·m", thread=thread)
    assume(
        all(
            abs(torque / number(plain, edge) * scale - 1) > 1e-9
            for edge, scale in (("usual_low_nm", 2), ("usual_high_nm", 1 / 1.2), ("ceiling_nm", 1), ("floor_nm", 1))
        )
    )
    assert (
        plausible_torque(value=convert(torque, "N·m", unit), unit=unit, thread=thread).values["verdict"]
        == plain.values["verdict"]
    )


hole = st.tuples(st.integers(-200, 200), st.integers(-200, 200)).map(lambda p: [float(p[0]), float(p[1])])


@given(st.lists(hole, min_size=1, max_size=20, unique_by=tuple))
def test_every_hole_is_named_once_in_every_pass(positions: list[list[float]]) -> None:
    values = or_assume(lambda: tightening_order(positions=positions)).values
    for name in ("order", "around"):
        assert sorted(values[name]) == list(range(1, len(positions) + 1))


@given(
    st.lists(hole, min_size=2, max_size=12, unique_by=tuple), st.integers(-300, 300), st.sampled_from([0.5, 2.0, 4.0])
)
def test_moving_or_scaling_the_cover_keeps_the_order(positions: list[list[float]], shift: int, scale: float) -> None:
    moved = [[x * scale + shift, y * scale - shift] for x, y in positions]
    first, second = (or_assume(lambda p=p: tightening_order(positions=p)).values for p in (positions, moved))
    assert first["shape"] == second["shape"]
    assert sorted(first["order"]) == sorted(second["order"])


@given(
    st.floats(min_value=1, max_value=6000),
    st.lists(st.sampled_from([100, 250, 400, 500, 946, 1000, 4000]), min_size=1, max_size=4),
    st.lists(st.floats(min_value=1, max_value=900), max_size=3),
)
def test_bottles_pour_exactly_what_is_needed(need: float, sizes: list[float], opened: list[float]) -> None:
    values: Any = bottle_plan(need_ml=need, sizes_ml=sizes, opened_ml=opened).values
    assert sum(pour["pour_ml"] for pour in values["pours"]) == pytest.approx(need)
    assert values["left_ml"] == pytest.approx(sum(opened) + values["bought_ml"] - need)
    assert all(pour["stop_at_ml"] == pytest.approx(pour["holds_ml"] - pour["pour_ml"]) for pour in values["pours"])
    if values["buy"]:
        assert values["bought_ml"] - max(math.ceil(need - sum(opened)), 0) < min(sizes), "one bottle fewer would do"


@given(st.sampled_from(["ethylene", "propylene"]), st.floats(min_value=10, max_value=59))
def test_more_glycol_freezes_later_up_to_60_percent(glycol: str, percent: float) -> None:
    less, more = (number(coolant_freeze(glycol=glycol, percent=p), "freezes_c") for p in (percent, percent + 1))
    assert more < less


@given(st.sampled_from(["ethylene", "propylene"]), st.floats(min_value=-48, max_value=5))
def test_the_advised_share_is_enough_for_the_cold(glycol: str, lowest: float) -> None:
    advised = or_assume(lambda: coolant_for_cold(glycol=glycol, lowest_c=lowest))
    assert number(coolant_freeze(glycol=glycol, percent=number(advised, "percent")), "freezes_c") <= lowest - 3 + 1e-6


@given(st.floats(min_value=100, max_value=5000), shares, shares, shares)
def test_what_is_drained_for_a_target_reaches_it(system: float, now: float, target: float, refill: float) -> None:
    assume(abs(refill - now) > 1)
    drained = number(
        or_assume(
            lambda: drain_for_target(system_ml=system, now_percent=now, target_percent=target, refill_percent=refill)
        ),
        "drain_ml",
    )
    assume(drained <= system)
    reached = drain_and_refill(system_ml=system, drained_ml=drained, old_percent=now, new_percent=refill)
    assert number(reached, "percent") == pytest.approx(target, abs=1e-9)


@given(st.sampled_from(["water", "ethylene_50", "propylene_50"]), st.floats(min_value=20, max_value=99))
def test_hotter_needs_more_room(fluid: str, hot: float) -> None:
    cool, warm = (number(expansion_room(system_ml=1000, fluid=fluid, to_c=t), "room_ml") for t in (hot, hot + 1))
    assert 0 <= cool < warm


@given(st.floats(min_value=100, max_value=20_000), ratios, ratios)
def test_a_corrected_mix_has_the_wanted_ratio(mix: float, now: float, wanted: float) -> None:
    answer = premix_correct(mix_ml=mix, ratio_now=now, ratio_wanted=wanted)
    fuel = mix * now / (now + 1) + number(answer, "add_fuel_ml")
    oil = mix / (now + 1) + number(answer, "add_oil_ml")
    assert fuel / oil == pytest.approx(wanted)
    assert min(number(answer, "add_fuel_ml"), number(answer, "add_oil_ml")) == pytest.approx(0, abs=1e-9)


@given(st.floats(min_value=100, max_value=20_000), ratios, st.floats(min_value=100, max_value=20_000))
def test_topping_up_at_the_same_ratio_is_a_fresh_mix(mix: float, ratio: float, fresh: float) -> None:
    topped = or_assume(lambda: premix_top_up(mix_ml=mix, ratio_now=ratio, add_fuel_ml=fresh, ratio_wanted=ratio))
    assert number(topped, "add_oil_ml") == pytest.approx(number(premix_oil(fuel_ml=fresh, ratio=ratio), "oil_ml"))


clearances = st.integers(0, 40).map(lambda n: n / 100)
sizes = st.integers(200, 300).map(lambda n: n / 100)


@given(clearances, sizes)
def test_a_bought_shim_brings_the_clearance_inside(clearance: float, shim: float) -> None:
    values = shim_to_fit(clearance_mm=clearance, shim_mm=shim, low_mm=0.1, high_mm=0.15).values
    assert 0.1 <= float(str(values["buy_gives_mm"])) <= 0.15


@given(st.lists(st.tuples(clearances, sizes), min_size=1, max_size=4), st.lists(sizes, max_size=3))
def test_a_swap_uses_each_shim_once_and_fits_every_valve(
    valves: list[tuple[float, float]], spares: list[float]
) -> None:
    engine: Any = [
        {"name": f"v{n}", "clearance_mm": c, "shim_mm": s, "low_mm": 0.1, "high_mm": 0.15}
        for n, (c, s) in enumerate(valves)
    ]
    values: Any = shim_swap(valves=engine, spare_mm=spares).values
    assert all(0.1 <= row["gives_mm"] <= 0.15 for row in values["rows"])
    taken = [row["from"] for row in values["rows"] if row["from"] not in {"keep", "buy", "spare"}]
    assert len(taken) == len(set(taken)), "no shim sits in two valves"
    assert not {row["name"] for row in values["rows"] if row["from"] == "keep"} & set(taken)
    used = sorted(row["shim_mm"] for row in values["rows"] if row["from"] == "spare")
    assert all(used.count(shim) <= spares.count(shim) for shim in used)


temperatures = st.floats(min_value=-30, max_value=50)
heights = st.floats(min_value=0, max_value=4000)


@given(st.floats(min_value=20, max_value=300), temperatures, temperatures, heights, heights)
def test_tyre_there_and_back(gauge: float, here: float, there: float, low: float, high: float) -> None:
    reads = or_assume(
        lambda: tyre_reads(pressure_kpa=gauge, from_c=here, to_c=there, from_altitude_m=low, to_altitude_m=high)
    )
    assume(number(reads, "reads_kpa") <= 1000)
    back = tyre_set_here(
        wanted_kpa=number(reads, "reads_kpa"), from_c=here, to_c=there, from_altitude_m=low, to_altitude_m=high
    )
    assert number(back, "set_kpa") == pytest.approx(gauge, abs=1e-9)


@given(st.floats(min_value=20, max_value=300), temperatures)
def test_warmer_and_higher_read_more(gauge: float, here: float) -> None:
    plain, warmer, higher = (
        number(tyre_reads(pressure_kpa=gauge, from_c=here, to_c=t, to_altitude_m=m), "reads_kpa")
        for t, m in ((here, 0), (here + 5, 0), (here, 500))
    )
    assert warmer > plain == pytest.approx(gauge)
    assert higher > plain
    assert air_pressure_kpa(500) < air_pressure_kpa(0) == 101.325


@given(
    torques,
    st.floats(min_value=100, max_value=1500),
    st.floats(min_value=-60, max_value=60),
    st.floats(min_value=0, max_value=2),
    st.floats(min_value=0, max_value=500),
)
def test_weight_and_lever_give_the_torque_back(
    target: float, lever: float, tilt: float, bar: float, centre: float
) -> None:
    more = {"below_level_deg": tilt, "bar_mass_kg": bar, "bar_centre_mm": centre}
    mass = number(or_assume(lambda: weight_for_torque(target_nm=target, lever_mm=lever, **more)), "mass_kg")
    assume(0.5 < mass < 300)
    assert number(torque_by_weight(mass_kg=mass, lever_mm=lever, **more), "torque_nm") == pytest.approx(target)
    assert number(lever_for_torque(target_nm=target, mass_kg=mass, **more), "lever_mm") == pytest.approx(lever)


junk = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10),
    st.floats(),
    st.text(max_size=5),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=3), st.integers(), max_size=2),
)


@pytest.mark.parametrize("name", [name for name in CALCULATIONS if name not in {"kit_check", "last_done"}])
@given(data=st.data())
def test_junk_is_refused_or_answered_with_finite_numbers(name: str, data: st.DataObject) -> None:
    """Whatever stands in any field, nothing but a refusal comes out, or an answer that is plain JSON without NaN."""
    inputs = GENERATORS[name](data.draw(st.randoms(use_true_random=False)))
    field = data.draw(st.sampled_from(sorted(inputs)))
    try:
        answer = CALCULATIONS[name](**{**inputs, field: data.draw(junk)})
    except Refused:
        return
    json.dumps(answer_data(answer), allow_nan=False)
