"""Coolant, brake fluid, tyres, chain, intervals and times against libraries, handbooks and standards."""

import importlib
import math
import random
from typing import Any

import pytest

from benchtrail.domain.answer import Answer
from benchtrail.domain.brake_fluid import brake_fluid
from benchtrail.domain.coolant import coolant_for_cold, coolant_freeze, coolant_mix, expansion_room
from benchtrail.domain.intervals import service_due
from benchtrail.domain.labour_time import job_time, step_time, student_t_90
from benchtrail.domain.premix import premix_oil
from benchtrail.domain.refused import Refused
from benchtrail.domain.trail_side import weight_for_torque
from benchtrail.domain.tyres import air_pressure_kpa, tyre_reads
from benchtrail.domain.units import convert
from benchtrail.domain.wear import chain_wear

source = pytest.mark.source


def number(answer: Answer, name: str) -> float:
    value = answer.values[name]
    assert isinstance(value, int | float)
    return value


@source("library", "CoolProp 8.0.0, AEG and APG by volume")
@pytest.mark.parametrize("glycol", ["ethylene", "propylene"])
@pytest.mark.parametrize("percent", [10, 12.5, 15, 20, 25, 27.5, 30, 35, 37.5, 40, 45, 47.5, 50, 52.5, 55, 57.5, 60])
def test_freezing_point(glycol: str, percent: float) -> None:
    properties: Any = importlib.import_module("CoolProp.CoolProp")
    name = {"ethylene": "AEG", "propylene": "APG"}[glycol]
    expected = properties.PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::{name}[{percent / 100}]") - 273.15
    got = number(coolant_freeze(glycol=glycol, percent=percent), "freezes_c")
    assert got == pytest.approx(expected, abs=0.006 if percent % 5 == 0 else 0.3)


@source("library", "CoolProp 8.0.0, MEG by mass: another data set")
def test_two_data_sets_differ_by_less_than_the_margin() -> None:
    properties: Any = importlib.import_module("CoolProp.CoolProp")
    by_mass = properties.PropsSI("T_freeze", "T", 300, "P", 101325, "INCOMP::MEG[0.5273]") - 273.15
    gap = number(coolant_freeze(glycol="ethylene", percent=50), "freezes_c") - by_mass
    assert gap == pytest.approx(2.7, abs=0.1)
    assert gap < 3


@source("published", "Lange's Handbook of Chemistry, 15th ed., table 5.13, page 5.85, propylene glycol by volume")
@pytest.mark.parametrize(("percent", "printed"), [
    (10, -2.2), (15, -3.9), (20, -6.7), (25, -8.9), (30, -12.8), (35, -16.1), (40, -20.6), (45, -26.7), (50, -33.3)])
def test_freezing_point_of_propylene_glycol(percent: float, printed: float) -> None:
    """The handbook is warmer by up to 1.35 K: what we tell to rely on is on its safe side."""
    answer = coolant_freeze(glycol="propylene", percent=percent)
    assert 0 <= printed - number(answer, "freezes_c") <= 1.36
    assert number(answer, "rely_on_c") >= printed


@source("published", "TM 9-2320-312-10, WP 0006: half and half protects to −34 °F")
def test_half_and_half() -> None:
    answer = coolant_freeze(glycol="ethylene", percent=50)
    assert number(answer, "freezes_c") == pytest.approx(convert(-34, "°F", "°C"), abs=0.5)
    assert number(answer, "rely_on_c") > convert(-34, "°F", "°C")


@source("published", "OD1001, page 142: 60 % gives the lowest freezing point, −65 °F quoted")
def test_no_answer_above_60_percent() -> None:
    freezes = number(coolant_freeze(glycol="ethylene", percent=60), "freezes_c")
    assert convert(freezes, "°C", "°F") == pytest.approx(-65, abs=4)
    with pytest.raises(Refused, match="glycol_outside_table"):
        coolant_mix(total_ml=1000, percent=61)


@source("published", "TM 5-3820-245-14&P: inhibitors need at least 30 % by volume")
def test_never_less_than_30_percent_is_advised() -> None:
    assert coolant_for_cold(glycol="propylene", lowest_c=5).values["percent"] == 30
    assert any(note.code == "glycol_below_inhibitor" for note in coolant_mix(total_ml=1000, percent=29).notes)


@source("memory", "ASTM D3306: 50 % ethylene glycol freezes at or below −36.4 °C, 50 % propylene glycol −31 °C")
@pytest.mark.parametrize(("glycol", "limit"), [("ethylene", -36.4), ("propylene", -31)])
def test_half_and_half_meets_the_coolant_standard(glycol: str, limit: float) -> None:
    assert number(coolant_freeze(glycol=glycol, percent=50), "freezes_c") <= limit


@source("library", "CoolProp 8.0.0, densities at 3 bar")
@pytest.mark.parametrize(("fluid", "name"), [("ethylene_30", "INCOMP::AEG[0.3]"), ("ethylene_50", "INCOMP::AEG[0.5]"),
                                             ("propylene_40", "INCOMP::APG[0.4]"), ("propylene_50", "INCOMP::APG[0.5]"),
                                             ("water", "Water")])
@pytest.mark.parametrize("hot", [40, 60, 75, 80, 90, 95, 100])
def test_room_for_expansion(fluid: str, name: str, hot: float) -> None:
    properties: Any = importlib.import_module("CoolProp.CoolProp")
    cold, warm = (properties.PropsSI("D", "T", 273.15 + t, "P", 3e5, name) for t in (20, hot))
    got = number(expansion_room(system_ml=1000, fluid=fluid, to_c=hot), "room_ml")
    assert got == pytest.approx(1000 * (cold / warm - 1), abs=0.5)


@source("library", "CoolProp 8.0.0, water at 20 °C")
def test_litres_of_water_as_a_weight() -> None:
    properties: Any = importlib.import_module("CoolProp.CoolProp")
    values = weight_for_torque(target_nm=25, lever_mm=500).values
    density = properties.PropsSI("D", "T", 293.15, "P", 101325, "Water") / 1000
    assert float(str(values["mass_kg"])) / float(str(values["water_l"])) == pytest.approx(density, abs=1e-4)


@pytest.mark.parametrize(("grade", "dry", "wet"), [
    pytest.param("DOT 3", 401, 284, marks=source("restated", "49 CFR 571.116 (FMVSS 116), °F column")),
    pytest.param("DOT 4", 446, 311, marks=source("published", "NHTSA interpretation 12089.MLS: wet 155 °C, 311 °F")),
    pytest.param("DOT 5", 500, 356, marks=source("restated", "49 CFR 571.116 (FMVSS 116), °F column")),
    pytest.param("DOT 5.1", 500, 356, marks=source("restated", "49 CFR 571.116 (FMVSS 116), °F column"))])
def test_least_boiling_points(grade: str, dry: float, wet: float) -> None:
    values = brake_fluid(asked=grade, offered=grade).values
    assert convert(float(str(values["dry_c"])), "°C", "°F") == pytest.approx(dry)
    assert convert(float(str(values["wet_c"])), "°C", "°F") == pytest.approx(wet)


@source("arithmetic", "fuel divided by the ratio")
@pytest.mark.parametrize(("ratio", "us_oz", "us_ml", "imp_ml"), [
    (20, 6.4, 189.27, 227.3), (32, 4.0, 118.29, 142.07), (40, 3.2, 94.64, 113.65), (50, 2.56, 75.71, 90.92),
    (100, 1.28, 37.85, 45.46)])
def test_premix_of_a_gallon(ratio: float, us_oz: float, us_ml: float, imp_ml: float) -> None:
    us = number(premix_oil(fuel_ml=convert(1, "US gal", "ml"), ratio=ratio), "oil_ml")
    imperial = number(premix_oil(fuel_ml=convert(1, "imp gal", "ml"), ratio=ratio), "oil_ml")
    assert (us, imperial) == pytest.approx((us_ml, imp_ml), abs=0.006)
    assert convert(us, "ml", "US fl oz") == pytest.approx(us_oz, abs=1e-9)


@source("library", "fluids 1.3.1, US Standard Atmosphere 1976")
@pytest.mark.parametrize("height", [-500, 0, 250, 500, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 6000])
def test_air_pressure(height: float) -> None:
    atmosphere: Any = importlib.import_module("fluids.atmosphere")
    assert air_pressure_kpa(height) * 1000 == pytest.approx(atmosphere.ATMOSPHERE_1976(height).P, rel=2e-5)


@source("restated", "US Standard Atmosphere 1976 formula, P0·(1 − h/44329)^5.255876")
@pytest.mark.parametrize("height", [0, 1000, 2000, 3000])
def test_air_pressure_by_the_printed_formula(height: float) -> None:
    assert air_pressure_kpa(height) * 1000 == pytest.approx(101325 * (1 - height / 44329) ** 5.255876, abs=15)


@source("arithmetic", "ideal gas")
@pytest.mark.parametrize(("psi", "there"), [(5, 3.656), (12, 10.179), (15, 12.974), (30, 26.951), (35, 31.610)])
def test_tyre_from_20_to_0_degrees(psi: float, there: float) -> None:
    answer = tyre_reads(pressure_kpa=convert(psi, "psi", "kPa"), from_c=20, to_c=0)
    assert convert(number(answer, "reads_kpa"), "kPa", "psi") == pytest.approx(there, abs=6e-4)


@source("restated", "ANSI/ASME B29.1 as a chain maker cites it")
@pytest.mark.parametrize(("teeth", "limit"), [(48, 3), (66, 3), (67, 2.985), (80, 2.5), (100, 2)])
def test_chain_limit(teeth: int, limit: float) -> None:
    answer = chain_wear(measured_mm=318, pitches=20, pitch_mm=15.875, sprocket_teeth=teeth)
    assert number(answer, "limit_percent") == pytest.approx(limit, abs=5e-4)


@source("restated", "a chain maker: about 1.5 % where the shafts cannot be moved apart")
@pytest.mark.parametrize(("length", "verdict"), [(322.2, "within"), (322.3, "outside")])
def test_chain_limit_of_fixed_shafts(length: float, verdict: str) -> None:
    answer = chain_wear(measured_mm=length, pitches=20, pitch_mm=15.875, fixed_centres=True)
    assert (answer.values["limit_percent"], answer.values["verdict"]) == (1.5, verdict)


@source("arithmetic", "n pitches of P")
@pytest.mark.parametrize(("pitch", "length", "percent"), [
    (15.875, 320.675, 1), (15.875, 323.85, 2), (15.875, 327.025, 3), (12.7, 256.54, 1), (12.7, 259.08, 2),
    (12.7, 261.62, 3)])
def test_chain_stretch(pitch: float, length: float, percent: float) -> None:
    answer = chain_wear(measured_mm=length, pitches=20, pitch_mm=pitch)
    assert number(answer, "stretch_percent") == pytest.approx(percent, abs=1e-9)


LIMBS = [{"meter": "hours", "every": 15}, {"meter": "days", "every": 180}]


@source("arithmetic", "our own rules, computed")
@pytest.mark.parametrize(("hours", "day", "due"), [
    (50.0, "2026-08-01", "2026-08-31"), (42.0, "2026-09-01", "2026-11-28"), (40.0, "2026-09-01", "2026-11-28")])
def test_next_service(hours: float, day: str, due: str) -> None:
    answer = service_due(limbs=LIMBS, done={"date": "2026-06-01", "hours": 40.0}, today=day,
                         readings=[{"date": day, "hours": hours}])
    assert answer.values["due_date"] == due


@source("published", "TM 5-3805-263-14&P-3: hours or calendar, whichever first")
def test_whichever_comes_first() -> None:
    limbs = [{"meter": "hours", "every": 2000}, {"meter": "months", "every": 12}]
    answer = service_due(limbs=limbs, today="2026-06-02",
                         done={"date": "2025-06-01", "hours": 100.0}, readings=[{"date": "2026-06-01", "hours": 300.0}])
    assert (answer.values["state"], answer.values["governing"]) == ("overdue", "months")


@source("arithmetic", "our derivation, computed")
@pytest.mark.parametrize(("logs", "q10", "q50", "q90"), [([], 11.244, 20.0, 35.575), ([30], 13.413, 22.894, 39.077),
                                                         ([30, 25, 35], 15.773, 25.365, 40.791)])
def test_labour_table(logs: list[float], q10: float, q50: float, q90: float) -> None:
    values = step_time(estimate_min=20, logs_min=logs, weight=2).values
    assert (values["q10_min"], values["q50_min"], values["q90_min"]) == pytest.approx((q10, q50, q90), abs=6e-4)


@source("library", "scipy, Student's t")
@pytest.mark.parametrize("degrees", [3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 20, 31, 60, 101, 500])
def test_student_t(degrees: int) -> None:
    stats: Any = importlib.import_module("scipy.stats")
    assert student_t_90(degrees) == pytest.approx(float(stats.t.ppf(0.9, degrees)), rel=1e-9)


@source("arithmetic", "Monte Carlo, 100 000 jobs of five log-normal steps, seed 7")
def test_whole_job_against_monte_carlo() -> None:
    steps = [{"median_min": m, "sigma": s} for m, s in zip((5, 10, 3, 20, 8), (0.4, 0.3, 0.5, 0.35, 0.45), strict=True)]
    chance = random.Random(7)
    jobs = sorted(sum(chance.lognormvariate(math.log(step["median_min"]), step["sigma"]) for step in steps)
                  for _ in range(100_000))
    answer = job_time(steps=steps)
    assert number(answer, "q50_min") == pytest.approx(jobs[50_000], rel=0.006)
    assert number(answer, "q90_min") == pytest.approx(jobs[90_000], rel=0.006)


@source("arithmetic", "coverage of the range when estimates are off by e^±0.4")
@pytest.mark.parametrize("count", [0, 1, 2, 5])
def test_the_range_holds_as_often_as_it_says(count: int) -> None:
    """The 10 to 90 % range is meant to hold 80 % of the next times."""
    chance = random.Random(count)
    held, runs = 0, 2000
    for _ in range(runs):
        true = 20 * math.exp(chance.gauss(0, 0.4))
        logs = [chance.lognormvariate(math.log(true), 0.4) for _ in range(count)]
        values = step_time(estimate_min=20, logs_min=logs).values
        low, high = (float(str(values[name])) for name in ("q10_min", "q90_min"))
        held += low <= chance.lognormvariate(math.log(true), 0.4) <= high
    assert 0.74 <= held / runs <= 0.88
