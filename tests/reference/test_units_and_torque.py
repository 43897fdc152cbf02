"""Units, adapters, torque wrenches, levers against published figures."""

from fractions import Fraction

import pytest

from benchtrail.domain.bottles import bottle_mark
from benchtrail.domain.coolant import drain_and_refill
from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.plausible import plausible_torque
from benchtrail.domain.torque import running_torque, torque_applied, torque_at_wrench
from benchtrail.domain.trail_side import flats_for_angle, torque_by_weight
from benchtrail.domain.units import convert, parse_pair, parse_quantity, unit_factor
from benchtrail.domain.wrenches import choose_wrench

source = pytest.mark.source
INCH, POUND, GRAVITY = Fraction(254, 10000), Fraction(45359237, 100000000), Fraction(980665, 100000)
LBF = POUND * GRAVITY
EXACT = {
    "lbf·ft": LBF * INCH * 12, "lbf·in": LBF * INCH, "kgf·m": GRAVITY, "kgf·cm": GRAVITY / 100,
    "ozf·in": LBF * INCH / 16,
    "in": INCH * 1000, "ft": INCH * 12000, "thou": INCH, "lb": POUND, "oz": POUND / 16, "stone": POUND * 14,
    "psi": LBF / INCH**2 / 1000, "kgf/cm²": GRAVITY * 10, "bar": Fraction(100), "mph": Fraction(1609344, 1000000),
    "US gal": 231 * (INCH * 100) ** 3, "US qt": 231 * (INCH * 100) ** 3 / 4, "US pt": 231 * (INCH * 100) ** 3 / 8,
    "US fl oz": 231 * (INCH * 100) ** 3 / 128, "imp gal": Fraction(454609, 100), "imp qt": Fraction(454609, 400),
    "imp pt": Fraction(454609, 800), "imp fl oz": Fraction(454609, 16000), "atm": Fraction(101325, 1000),
}


@source("arithmetic", "exact definitions: 25.4 mm, 0.45359237 kg, 9.80665 m/s², 231 in³, 4.54609 l")
@pytest.mark.parametrize("unit", EXACT)
def test_factor_is_the_double_nearest_the_exact_one(unit: str) -> None:
    assert unit_factor(unit) == float(EXACT[unit])


@source("restated", "NIST SP 811:2008, appendix B.8, seven digits")
@pytest.mark.parametrize(("unit", "printed"), [("lbf·ft", 1.355818), ("lbf·in", 0.1129848), ("kgf·m", 9.80665),
                                               ("kgf·cm", 0.0980665), ("psi", 6.894757)])
def test_factor_agrees_with_seven_printed_digits(unit: str, printed: float) -> None:
    assert unit_factor(unit) == pytest.approx(printed, rel=5e-7)


@source("memory", "NIST SP 811:2008, appendix B.8: ounce-force inch 7.061552 E-03")
def test_ounce_force_inch() -> None:
    assert unit_factor("ozf·in") == pytest.approx(7.061552e-3, rel=5e-7)


@source("restated", "NIST Weights and Measures")
@pytest.mark.parametrize(("unit", "ml"), [("US gal", 3785.411784), ("US fl oz", 29.5735295625), ("imp gal", 4546.09),
                                          ("imp fl oz", 28.4130625)])
def test_gallons_and_ounces(unit: str, ml: float) -> None:
    assert convert(1, unit, "ml") == pytest.approx(ml, rel=1e-12)


@source("arithmetic", "exact factors")
@pytest.mark.parametrize(("nm", "unit", "value"), [
    (10, "lbf·ft", 7.375621493), (10, "lbf·in", 88.507457913), (10, "kgf·m", 1.019716213),
    (12, "lbf·ft", 8.850745791), (12, "lbf·in", 106.208949496), (25, "lbf·ft", 18.439053732),
    (25, "lbf·in", 221.268644783), (25, "kgf·m", 2.549290532),
    (60, "lbf·ft", 44.253728957), (100, "lbf·ft", 73.756214928)])
def test_newton_metres_in_other_units(nm: float, unit: str, value: float) -> None:
    assert convert(nm, "N·m", unit) == pytest.approx(value, abs=6e-10)


@source("restated", "a hand-tool maker's table, µ 0.14: N·m printed to five digits from kgf·m of two")
@pytest.mark.parametrize(("printed", "kgf_m", "fits"), [
    (10.300, 1.05, False), (25.497, 2.6, True), (50.014, 5.1, True), (87.279, 8.9, True)])
def test_false_precision_in_a_printed_table(printed: float, kgf_m: float, fits: bool) -> None:
    assert (abs(convert(kgf_m, "kgf·m", "N·m") - printed) < 0.0006) is fits


@source("arithmetic", "pairs more than 3 % apart disagree")
@pytest.mark.parametrize(("text", "disagrees"), [("10 N·m (88 lbf·in)", False), ("7.4 lbf·ft [10 N·m]", False),
                                                 ("26 N·m / 62 lbf·ft", True), ("20 N·m (15 lbf·in)", True)])
def test_printed_pairs_are_cross_checked(text: str, disagrees: bool) -> None:
    beyond = parse_pair(text).beyond_rounding_percent
    assert beyond is not None
    assert (beyond > 3) is disagrees


X = [
    pytest.param(300, "lbf·in", 10, 4, 0, 214, 0.5, marks=source("published", "TM 1-1500-204-23-9, figure 8-16")),
    pytest.param(40, "lbf·ft", 12, 4, 0, 30, 1e-9,
                 marks=source("published", "TM 9-2350-277-40&P p. 44; TM 9-2350-261-20-1 p. 2-29")),
    pytest.param(135, "lbf·in", 10, 1.5, 0, 117, 0.5, marks=source("memory", "FAA AC 43.13-1B, figure 7-2")),
    pytest.param(135, "lbf·in", 10, 1.5, 180, 159, 0.5, marks=source("memory", "FAA AC 43.13-1B, figure 7-2")),
    *(pytest.param(25, "N·m", 350 / 25.4, 40 / 25.4, angle, setting, 6e-4, marks=source("arithmetic", "statics"))
      for angle, setting in zip((0, 30, 45, 60, 90, 120, 135, 180),
                                (22.436, 22.748, 23.131, 23.649, 25.0, 26.515, 27.198, 28.226), strict=True)),
]


@pytest.mark.parametrize(("torque", "unit", "lever_in", "adapter_in", "angle", "printed", "room"), X)
def test_adapter_examples(torque: float, unit: str, lever_in: float, adapter_in: float, angle: float, printed: float,
                          room: float) -> None:
    answer = torque_at_wrench(target_nm=convert(torque, unit, "N·m"), lever_mm=lever_in * 25.4,
                              adapter_mm=adapter_in * 25.4, adapter_angle_deg=angle)
    assert convert(float(str(answer.values["set_nm"])), "N·m", unit) == pytest.approx(printed, abs=room)


@source("published", "TM 9-254, figure 4-5")
def test_setting_60_with_a_2_inch_adapter_applies_70() -> None:
    answer = torque_applied(set_nm=convert(60, "lbf·in", "N·m"), lever_mm=304.8, adapter_mm=50.8)
    assert convert(float(str(answer.values["applied_nm"])), "N·m", "lbf·in") == pytest.approx(70, rel=1e-12)


@source("published", "TM 55-1945-205-24-4, WP 0247: S = T·L/(L − E)")
def test_adapter_pointing_back() -> None:
    answer = torque_at_wrench(target_nm=30, lever_mm=400, adapter_mm=100, adapter_angle_deg=180)
    assert answer.values["set_nm"] == pytest.approx(30 * 400 / 300)


@source("published", "FAA AC 43.13-1B, paragraph 7-40: the friction drag torque is added")
def test_drag_of_a_locking_nut_is_added() -> None:
    assert running_torque(target_nm=12, running_nm=1.5).values["set_nm"] == 13.5


def wrench(low: float, high: float, **more: object) -> dict[str, object]:
    return {"name": f"{low}-{high}", "low": low, "high": high, "unit": "N·m", "step": 0.5, **more}


@source("published", "TM 1-1500-204-23-9, chapter 8: ±4 % from 20 % of full scale, best 30 to 80 %")
@pytest.mark.parametrize(("low", "high", "verdict"), [(40, 200, "below_range"), (5, 25, "good"), (10, 50, "usable"),
                                                      (5, 60, "low_fifth")])
def test_wrench_choice_for_10_nm(low: float, high: float, verdict: str) -> None:
    rows = choose_wrench(target_nm=10, wrenches=[wrench(low, high)]).values["rows"]
    assert isinstance(rows, list)
    assert isinstance(rows[0], dict)
    assert rows[0]["verdict"] == verdict


@source("restated", "ISO 6789:2003: ±4 % above 10 N·m full scale, ±6 % up to it")
@pytest.mark.parametrize(("high", "percent"), [(10, 6), (10.5, 4), (200, 4)])
def test_tool_error_by_full_scale(high: float, percent: float) -> None:
    rows = choose_wrench(target_nm=5, wrenches=[wrench(1, high)]).values["rows"]
    assert isinstance(rows, list)
    assert isinstance(rows[0], dict)
    assert rows[0]["error_percent"] == percent


@source("restated", "ISO 6789-1:2017, clause 5.1.3: the range starts at the lowest marked value")
def test_nothing_is_set_below_the_lowest_mark() -> None:
    assert choose_wrench(target_nm=9.4, wrenches=[wrench(10, 50)]).values["best"] is None


@source("published", "TM 9-254, page 4-4")
@pytest.mark.parametrize(("arm_in", "pull_lbf"), [(10, 6), (12, 5), (6, 10)])
def test_weight_on_a_lever_gives_60_inch_pounds(arm_in: float, pull_lbf: float) -> None:
    answer = torque_by_weight(mass_kg=pull_lbf * 0.45359237, lever_mm=arm_in * 25.4)
    assert convert(float(str(answer.values["torque_nm"])), "N·m", "lbf·in") == pytest.approx(60, rel=1e-12)


@source("published", "TM 55-2840-231-23, appendix H, page H-4")
def test_a_flat_is_60_degrees_and_a_turned_spanner_15() -> None:
    values = flats_for_angle(angle_deg=75).values
    assert (values["whole_flats"], values["rest_deg"], values["spanner_turns"]) == (1, 15, 1)


PRACTICE = source("practice", "the workshop's own")


@PRACTICE
def test_a_litre_bottle_less_an_850_ml_fill_stops_at_150() -> None:
    assert bottle_mark(bottle_ml=1000, pour_ml=850).values["stop_at_ml"] == 150


@PRACTICE
def test_15_lbf_ft_on_a_small_drain_plug_is_20_3_nm() -> None:
    shown = figure_in_both({"kind": "torque", "as_published": "15 lbf·ft"})
    assert shown["other"] == {"text": "20.3", "unit": "N·m"}


@PRACTICE
@pytest.mark.parametrize(("value", "unit", "questioned"), [
    (10, "N·m", False), (10, "lbf·ft", True), (100, "N·m", True)])
def test_10_nm_belongs_to_an_m6_spring_screw(value: float, unit: str, questioned: bool) -> None:
    answer = plausible_torque(value=value, unit=unit, thread="M6x1")
    assert (answer.values["verdict"] != "plausible") is questioned


@PRACTICE
@pytest.mark.parametrize("text", [
    "10 N·m", "18 lbf·ft", "88 in-lb", "1 kgf·m", "9–11 N·m", "at most 5 N·m", "20 ± 2 N·m"])
def test_two_units_are_never_shown_without_their_words(text: str) -> None:
    shown = figure_in_both({"kind": "torque", "as_published": text})
    assert shown["other"] is not None
    assert shown["main"]["unit"]
    assert shown["other"]["unit"]
    assert shown["main"]["unit"] != shown["other"]["unit"]
    read_again = parse_quantity(f"{shown['main']['text']} {shown['main']['unit']}", "torque")
    assert read_again.written_unit == shown["main"]["unit"]


@PRACTICE
def test_after_refilling_coolant_run_three_minutes_and_recheck() -> None:
    answer = drain_and_refill(system_ml=1100, drained_ml=1050, old_percent=50, new_percent=50)
    assert [note.code for note in answer.notes] == ["run_three_minutes_recheck"]
