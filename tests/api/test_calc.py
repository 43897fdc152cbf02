"""The bench calculations over HTTP: the same answers and refusals as everywhere, and nothing but what is described gets in."""

import json

import pytest
from tests.api.conftest import WRITE, Asker

from benchtrail.domain.answer import answer_data
from benchtrail.domain.calculations import CALCULATIONS

WRENCH = {"name": "small", "low": 2, "high": 25, "unit": "N·m", "step": 0.5}
PACK = {
    "steps": [{"id": "cap-off", "tools": [], "do": [{"verb": "undo", "object": "cap_screws"}], "figure": None, "say": "Undo it."}],
    "joints": {"cap_screws": {"tools": ["socket_8"], "safety": "normal", "figure": None}},
    "figures": {}, "tools": {"socket_8": {"name": "8 mm socket", "kind": "socket"}}, "format": "benchtrail.procedure/1",
}
CASES = [
    ("torque_at_wrench", {"target_nm": 25, "lever_mm": 250, "adapter_mm": 50}),
    ("choose_wrench", {"target_nm": 10, "wrenches": [WRENCH], "today": "2026-11-25"}),
    ("proof_load", {"thread": "M8x1.25", "grade": "8.8"}),
    ("tightening_plan", {"positions": [[0, 0], [60, 0], [60, 40], [0, 40]], "target_nm": 10}),
    ("bottle_mark", {"bottle_ml": 1000, "pour_ml": 850}),
    ("shim_swap", {"valves": [{"name": "in", "clearance_mm": 0.1, "shim_mm": 2.6, "low_mm": 0.13, "high_mm": 0.17}]}),
    ("service_due", {"limbs": [{"meter": "hours", "every": 15}], "today": "2026-11-25", "done": {"date": "2026-05-01", "hours": 10},
                     "readings": [{"date": "2026-11-25", "hours": 21}]}),
    ("kit_check", {"pack": PACK, "kit": [{"kind": "spanner", "size_mm": 8}]}),
    ("flats_for_angle", {"angle_deg": 90}),
]


@pytest.mark.parametrize(("name", "given"), CASES)
def test_the_answer_is_that_of_the_calculation(stranger: Asker, name: str, given: dict[str, object]) -> None:
    answer = stranger.post(f"/api/v1/calc/{name}", given)
    assert answer.status_code == 200, answer.text
    body = answer.get_json()
    expected = answer_data(CALCULATIONS[name](**given))
    assert body["values"] == json.loads(json.dumps(expected["values"]))
    assert body["working"]["code"] == expected["working"]["code"]  # type: ignore[index,call-overload]
    assert "{" not in body["working"]["words"]
    assert [one["mark"] for one in body["sources"]] == [one["mark"] for one in expected["sources"]]  # type: ignore[index,call-overload,union-attr]
    assert all(note["words"] for note in body["notes"] + body["until"])
    assert answer.headers["Cache-Control"] == "no-store"


def test_a_stop_at_mark_has_its_working_and_its_mark(stranger: Asker) -> None:
    body = stranger.post("/api/v1/calc/bottle_mark", {"bottle_ml": 1000, "pour_ml": 850}).get_json()
    assert body["values"]["stop_at_ml"] == 150  # common practice, no source: a litre less an 850 ml fill
    assert body["working"]["words"] == "1000 ml − 850 ml = 150 ml"
    assert body["sources"] == [{"mark": "practice", "name": "", "words": "common practice, no source"}]


@pytest.mark.parametrize(("name", "given", "status", "code"), [
    ("no_such", {}, 404, "calc_unknown"),
    ("bottle_mark", {"bottle_ml": 1000}, 400, "calc_field_missing"),
    ("bottle_mark", {"bottle_ml": 1000, "pour_ml": 850, "cap": 1}, 400, "calc_field_unknown"),
    ("bottle_mark", {"bottle_ml": 500, "pour_ml": 850}, 422, "pour_exceeds_bottle"),
    ("torque_at_wrench", {"target_nm": 25, "lever_mm": 0}, 422, "amount_not_positive"),
    ("torque_at_wrench", {"target_nm": 25, "lever_mm": 100, "adapter_mm": 100, "adapter_angle_deg": 180}, 422, "adapter_cancels_lever"),
    ("coolant_freeze", {"glycol": "ethylene", "percent": 120}, 422, "amount_too_high"),
    ("check_torque", {"thread": "M8x1.25", "grade": "8.8", "lubrication": "dry", "published": True}, 422, "published_figure_stands"),
    ("flats_for_angle", {"angle_deg": None}, 422, "angle_not_published"),
])
def test_what_cannot_be_worked_out_is_refused_in_three_parts(
    stranger: Asker, name: str, given: dict[str, object], status: int, code: str
) -> None:
    answer = stranger.post(f"/api/v1/calc/{name}", given)
    body = answer.get_json()
    assert (answer.status_code, body["code"]) == (status, code)
    assert all(len(body["message"][part].split()) > 1 for part in ("happened", "means", "do"))
    assert "{" not in " ".join(body["message"].values())


@pytest.mark.parametrize(("name", "given", "field"), [
    ("bottle_mark", {"bottle_ml": "1000", "pour_ml": 850}, "bottle_ml"),
    ("bottle_mark", {"bottle_ml": True, "pour_ml": 850}, "bottle_ml"),
    ("bottle_mark", {"bottle_ml": None, "pour_ml": 850}, "bottle_ml"),
    ("proof_load", {"thread": 8, "grade": "8.8"}, "thread"),
    ("proof_load", {"thread": "M" * 201, "grade": "8.8"}, "thread"),
    ("premix_oil", {"fuel_ml": 5000, "ratio": 32, "oil_injection": "no"}, "oil_injection"),
    ("bottle_plan", {"need_ml": 1300, "sizes_ml": 500}, "sizes_ml"),
    ("bottle_plan", {"need_ml": 1300, "sizes_ml": ["500"]}, "sizes_ml"),
    ("tightening_order", {"positions": [[0, "x"]]}, "positions"),
    ("shim_swap", {"valves": [3]}, "valves"),
    ("kit_check", {"pack": {"steps": [{}]}, "kit": []}, "pack"),
    ("kit_check", {"pack": {**PACK, "joints": {"cap_screws": {}}}, "kit": []}, "pack"),
])
def test_a_field_of_another_kind_is_named(stranger: Asker, name: str, given: dict[str, object], field: str) -> None:
    answer = stranger.post(f"/api/v1/calc/{name}", given)
    body = answer.get_json()
    assert (answer.status_code, body["code"]) == (400, "input_not_as_described")
    assert list(body["fields"]) == [field]


@pytest.mark.parametrize("endless", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_a_number_that_is_none_is_refused(stranger: Asker, endless: str) -> None:
    raw = '{"bottle_ml": ' + endless + ', "pour_ml": 1}'
    answer = stranger.client.post("/api/v1/calc/bottle_mark", data=raw, content_type="application/json", headers=WRITE)
    assert answer.status_code == 400
    assert "NaN" not in answer.text


@pytest.mark.parametrize("raw", ["", "[]", "[1]", "null", "3", "{"])
def test_a_body_that_is_no_record_is_refused(stranger: Asker, raw: str) -> None:
    answer = stranger.client.post("/api/v1/calc/bottle_mark", data=raw, content_type="application/json", headers=WRITE)
    assert answer.status_code == 400
    assert answer.get_json()["message"]["do"]


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_odd_values_never_break_the_server(stranger: Asker, name: str) -> None:
    """Every argument of every calculation with values of every kind: an answer or a refusal, never a fault."""
    described = {one["name"]: one for one in stranger.get("/api/v1/calc").get_json()}[name]
    record = {"date": "2026-01-01", "every": "x"}
    odd: list[object] = [None, True, 0, -1, 1e308, "", "x", [], [0], [None], [[0, 0]], [{}], {}, {"date": 1}, [record]]
    for value in odd:
        answer = stranger.post(f"/api/v1/calc/{name}", dict.fromkeys(described["needed"] + described["optional"], value))
        assert answer.status_code in (200, 400, 422), (value, answer.text)
        assert "NaN" not in answer.text
        assert "Infinity" not in answer.text


def test_the_list_names_every_calculation_and_what_it_takes(stranger: Asker) -> None:
    listed = {one["name"]: one for one in stranger.get("/api/v1/calc").get_json()}
    assert set(listed) == set(CALCULATIONS)
    assert listed["bottle_mark"] == {
        "name": "bottle_mark", "words": "the mark at which to stop pouring", "needed": ["bottle_ml", "pour_ml"], "optional": [],
    }


def test_a_page_of_another_site_cannot_ask(stranger: Asker) -> None:
    answer = stranger.client.post("/api/v1/calc/bottle_mark", json={"bottle_ml": 1, "pour_ml": 1})
    assert (answer.status_code, answer.get_json()["code"]) == (403, "write_header_missing")
