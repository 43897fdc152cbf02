"""Strength, preload, stripping and tightening orders against published tables."""

import math
from itertools import pairwise

import pytest

from benchtrail.domain.answer import Answer
from benchtrail.domain.preload import preload_band, preload_long, preload_scatter
from benchtrail.domain.sockets import threads_for_socket
from benchtrail.domain.thread_strip import shear_area_per_mm, thread_strip
from benchtrail.domain.threads import proof_load, stress_area
from benchtrail.domain.tightening_order import cross_sequence, tightening_order, tightening_plan

source = pytest.mark.source
COARSE = ["M4x0.7", "M5x0.8", "M6x1", "M8x1.25", "M10x1.5", "M12x1.75", "M14x2", "M16x2"]
GRADES = ["4.6", "5.8", "8.8", "10.9", "12.9"]
PROOF = [(1980, 3340, 5100, 7290, 8520), (3200, 5400, 8230, 11800, 13800), (4520, 7640, 11600, 16700, 19500),
         (8240, 13900, 21200, 30400, 35500), (13000, 22000, 33700, 48100, 56300), (19000, 32000, 48900, 70000, 81800),
         (25900, 43700, 66700, 95500, 112000), (35300, 59700, 91000, 130000, 152000)]


def number(answer: Answer, name: str) -> float:
    value = answer.values[name]
    assert isinstance(value, int | float)
    return value


@source("restated", "ISO 898-1, table 5: proof loads M4 to M16, five classes")
@pytest.mark.parametrize(("thread", "grade", "printed"), [
    (thread, grade, load) for thread, row in zip(COARSE, PROOF, strict=True)
    for grade, load in zip(GRADES, row, strict=True)])
def test_proof_load(thread: str, grade: str, printed: float) -> None:
    assert number(proof_load(thread=thread, grade=grade), "proof_n") == pytest.approx(printed, rel=0.01)


@source("restated", "ISO 898-1: least ultimate loads")
@pytest.mark.parametrize(("thread", "loads"), [("M5x0.8", (11350, 14800)), ("M6x1", (16100, 20900)),
                                               ("M8x1.25", (29200, 38100)), ("M10x1.5", (46400, 60300)),
                                               ("M12x1.75", (67400, 87700)), ("M16x2", (125000, 163000))])
def test_break_load(thread: str, loads: tuple[float, float]) -> None:
    for grade, printed in zip(("8.8", "10.9"), loads, strict=True):
        assert number(proof_load(thread=thread, grade=grade), "break_n") == pytest.approx(printed, rel=0.01)


@source("restated", "ISO 898-1 stress areas, supplier tables and University of Stavanger page")
@pytest.mark.parametrize(("thread", "printed"), [("M4x0.7", 8.78), ("M5x0.8", 14.2), ("M6x1", 20.1), ("M7x1", 28.9),
                                                 ("M8x1.25", 36.6), ("M10x1.5", 58.0), ("M12x1.75", 84.3),
                                                 ("M14x2", 115), ("M16x2", 157)])
def test_stress_area_to_three_figures(thread: str, printed: float) -> None:
    assert number(stress_area(thread=thread), "stress_area_mm2") == pytest.approx(printed, rel=5e-3)


@source("memory", "ISO 898-1 stress areas, fine threads")
@pytest.mark.parametrize(("thread", "printed"), [("M8x1", 39.2), ("M10x1.25", 61.2), ("M10x1", 64.5), ("M12x1.5", 88.1),
                                                 ("M12x1.25", 92.1), ("M14x1.5", 125), ("M16x1.5", 167)])
def test_stress_area_of_fine_threads(thread: str, printed: float) -> None:
    assert number(stress_area(thread=thread), "stress_area_mm2") == pytest.approx(printed, rel=5e-3)


@source("published", "Speck, Mechanical Fastening, Joining, and Assembly, page 85")
@pytest.mark.parametrize(("k", "torque_lbf_in"), [(0.30, 72.7), (0.25, 60.6), (0.20, 48.5), (0.15, 36.3), (0.10, 24.2)])
def test_short_form(k: float, torque_lbf_in: float) -> None:
    """The relation itself: our preload scales so that T = K·d·F holds for the source's numbers."""
    answer = preload_band(torque_nm=10, thread="M6x1", grade="8.8", lubrication="oiled")
    per_k = number(answer, "preload_high_n") * number(answer, "k_low") * 6 / 1000 / 10
    assert per_k * k * 0.190 * 1275 == pytest.approx(torque_lbf_in, abs=0.06)


@source("published", "a washer maker's bench test, 7/8-9 at 400 lbf·ft: preload predicted with K 0.20 and 0.15")
@pytest.mark.parametrize(("k", "lbf"), [(0.20, 27429), (0.15, 36571)])
def test_short_form_prediction_of_a_bench_test(k: float, lbf: float) -> None:
    answer = preload_band(torque_nm=50, thread="M10x1.5", grade="8.8", lubrication="dry")
    constant = number(answer, "preload_low_n") * number(answer, "k_high") * 10 / 1000 / 50
    assert constant * 400 * 12 / (k * 0.875) == pytest.approx(lbf, abs=1)


@source("restated", "VDI 2230:2015, M12 8.8 at µ 0.14: 41.9 kN")
def test_long_form_against_vdi_2015() -> None:
    answer = preload_long(thread="M12x1.75", grade="8.8", friction_thread=0.14, friction_head=0.14)
    assert number(answer, "preload_n") == pytest.approx(41_900, rel=0.005)


@source("memory", "VDI 2230, table A1")
@pytest.mark.parametrize(("thread", "friction", "kn", "nm"), [
    ("M6x1", 0.12, 10.2, 10.1), ("M6x1", 0.14, 9.9, 11.3), ("M8x1.25", 0.12, 18.6, 24.6), ("M8x1.25", 0.14, 18.1, 27.3),
    ("M10x1.5", 0.12, 29.6, 48), ("M10x1.5", 0.14, 28.8, 54), ("M12x1.75", 0.12, 43.0, 84),
    ("M12x1.75", 0.14, 41.9, 93)])
def test_long_form_against_the_remembered_table(thread: str, friction: float, kn: float, nm: float) -> None:
    answer = preload_long(thread=thread, grade="8.8", friction_thread=friction, friction_head=friction)
    assert number(answer, "preload_n") / 1000 == pytest.approx(kn, rel=0.01)
    assert number(answer, "torque_nm") == pytest.approx(nm, rel=0.01)


@source("restated", "a hand-tool maker's older table, µ 0.14: 6 to 12 % lower, which is why editions are shown")
@pytest.mark.parametrize(("thread", "grade", "printed"), [
    ("M5x0.8", "8.8", 6.031), ("M6x1", "8.8", 10.3), ("M8x1.25", "8.8", 25.497), ("M10x1.5", "8.8", 50.014),
    ("M12x1.75", "8.8", 87.279), ("M6x1", "10.9", 14.71), ("M8x1.25", "10.9", 35.304), ("M10x1.5", "12.9", 85.317)])
def test_an_older_table_is_lower_by_a_known_share(thread: str, grade: str, printed: float) -> None:
    answer = preload_long(thread=thread, grade=grade, friction_thread=0.14, friction_head=0.14)
    assert 0.883 <= printed / number(answer, "torque_nm") <= 0.941


@source("restated", "Bickford, 4th ed.: shear areas at one diameter of engagement")
@pytest.mark.parametrize(("thread", "bolt", "hole"), [("M6x1", 51.875, 73.145), ("M8x1.25", 97.29, 134.63),
                                                      ("M10x1.5", 155.80, 214.77)])
def test_shear_areas(thread: str, bolt: float, hole: float) -> None:
    engaged = float(thread[1:].split("x")[0])
    answer = thread_strip(thread=thread, grade="8.8", engaged_mm=engaged, shear_mpa=120)
    assert number(answer, "bolt_area_mm2") == pytest.approx(bolt, rel=2e-4)
    assert number(answer, "hole_area_mm2") == pytest.approx(hole, rel=2e-4)


@source("published", "Handbook of Bolts and Bolted Joints, stripping example: 69 600 N, 130 MPa, 21.6 mm")
def test_stripping_example_with_the_sources_own_diameter() -> None:
    assert 69_600 / (130 * shear_area_per_mm(9.968, 1.5, 9.968 - 9.206)) == pytest.approx(21.6, abs=0.06)


@source("restated", "Machinery's Handbook: accuracy of preload methods")
@pytest.mark.parametrize(("method", "percent"), [("feel", 35), ("torque_wrench", 25), ("turn_of_nut", 15)])
def test_preload_scatter(method: str, percent: float) -> None:
    assert number(preload_scatter(preload_n=1000, method=method), "scatter_percent") == percent


@source("arithmetic", "α = (1 + s)/(1 − s), which matches VDI 2230 in restatements")
@pytest.mark.parametrize(("method", "alpha"), [("torque_wrench", 1.667), ("turn_of_nut", 1.353), ("feel", 2.077)])
def test_scatter_as_a_ratio(method: str, alpha: float) -> None:
    assert number(preload_scatter(preload_n=1000, method=method), "ratio") == pytest.approx(alpha, abs=5e-4)


@source("restated", "JIS B 1180, JIS B 1189, DIN 931/933, ISO 4017 size pages")
@pytest.mark.parametrize(("socket", "threads"), [
    (8, [5, 6]), (10, [6, 8]), (12, [8]), (13, [8, 10]), (14, [10]), (16, [10, 12]), (17, [10, 12]), (18, [12, 14]),
    (19, [12, 14])])
def test_a_socket_never_names_one_thread_alone(socket: float, threads: list[int]) -> None:
    candidates = threads_for_socket(socket_mm=socket).values["candidates"]
    assert isinstance(candidates, list)
    assert [row["diameter_mm"] for row in candidates if isinstance(row, dict)] == threads


def circle(count: int) -> list[list[float]]:
    return [[50 * math.sin(2 * math.pi * n / count), 50 * math.cos(2 * math.pi * n / count)] for n in range(count)]


@pytest.mark.parametrize(("count", "order"), [
    pytest.param(4, [1, 3, 2, 4], marks=source("memory", "ASME PCC-1, legacy cross")),
    pytest.param(8, [1, 5, 3, 7, 2, 6, 4, 8], marks=source("memory", "ASME PCC-1, legacy cross")),
    pytest.param(12, [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12], marks=source("restated", "a 12-bolt flange page (weak)")),
    pytest.param(16, [1, 9, 5, 13, 3, 11, 7, 15, 2, 10, 6, 14, 4, 12, 8, 16],
                 marks=source("memory", "ASME PCC-1, legacy cross")),
    pytest.param(6, [1, 4, 3, 6, 5, 2], marks=source("arithmetic", "own construction: opposite pairs, turned 120°"))])
def test_order_on_a_circle(count: int, order: list[int]) -> None:
    assert tightening_order(positions=circle(count)).values["order"] == order


@source("published", "TM 5-3805-298-23-2, WP 0176; TB 9-3950-253-13&P, WP 0061: labels 9 7 5 3 1 2 4 6 8")
def test_order_of_a_straight_row_of_nine() -> None:
    order = tightening_order(positions=[[20.0 * n, 0.0] for n in range(9)]).values["order"]
    assert order == [5, 6, 4, 7, 3, 8, 2, 9, 1]
    assert isinstance(order, list)
    labels = [order.index(place) + 1 for place in range(1, 10)]
    assert labels == [9, 7, 5, 3, 1, 2, 4, 6, 8]


@source("arithmetic", "what must hold of any order")
@pytest.mark.parametrize("count", range(1, 65))
def test_properties_of_the_cross(count: int) -> None:
    order = cross_sequence(count)
    assert sorted(order) == list(range(count))
    if count % 2 == 0:
        assert all((b - a) % count == count // 2 for a, b in zip(order[::2], order[1::2], strict=True))
    if count % 4 == 0:
        assert sorted(place % (count // 4) for place in order[:4]) == [0, 0, 0, 0]


@source("published", "Fluid Sealing Association, June 2012: rising passes, then a circular pass at full load")
@pytest.mark.parametrize("count", [3, 4, 6, 8, 12, 16])
def test_stages_end_with_all_at_full_torque_and_a_closing_pass(count: int) -> None:
    passes = tightening_plan(positions=circle(count), target_nm=20).values["passes"]
    assert isinstance(passes, list)
    rows = [row for row in passes if isinstance(row, dict)]
    assert [row["kind"] for row in rows] == ["stage"] * (len(rows) - 1) + ["closing"]
    torques = [float(str(row["torque_nm"])) for row in rows]
    assert torques[-1] == torques[-2] == 20
    assert all(a < b for a, b in pairwise(torques[:-1]))
    assert rows[-1]["order"] == list(range(1, count + 1))


@source("restated", "a pipe-flange practice page: 30/60/100 % for 4 and 8 bolts, 20/40/80/100 % from 12")
@pytest.mark.parametrize(("count", "torques"), [(4, [6, 12, 20]), (8, [6, 12, 20]), (12, [4, 8, 16, 20])])
def test_stage_shares(count: int, torques: list[float]) -> None:
    assert tightening_plan(positions=circle(count), target_nm=20).working.values["torques_nm"] == pytest.approx(torques)


@source("published", "TM 5-3805-298-23-2, WP 0176: above 41 N·m at 70 %, then final")
def test_army_stages() -> None:
    answer = tightening_plan(positions=circle(8), target_nm=60, shares=[70, 100])
    assert answer.working.values["torques_nm"] == pytest.approx([42, 60])
