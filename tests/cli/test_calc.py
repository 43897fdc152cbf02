"""`benchtrail calc` speaks: lists, answers, refuses in three parts, and gives JSON."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from benchtrail.cli import main
from benchtrail.cli.calc_input import arguments_of, fields_of
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["calc", *words])


def test_without_a_name_all_are_listed() -> None:
    lines = run().output.splitlines()
    assert [line.split()[0] for line in lines] == list(CALCULATIONS)


def test_a_name_alone_tells_its_fields() -> None:
    output = run("torque_at_wrench").output
    assert "target_nm" in output
    assert "needed" in output


def test_an_answer_has_working_source_and_end() -> None:
    output = run("torque-at-wrench", "target=25 N·m", "lever=350", "adapter=40").output
    assert "set: 22.4 N·m (16.5 lbf·ft)" in output
    assert "Working: 25.0 N·m × 350 mm" in output
    assert "published, read in the original" in output
    assert "Until: " in output


def test_units_never_change_the_answer() -> None:
    metric = json.loads(run("torque_at_wrench", "target_nm=10", "lever=254", "--json").output)
    inches = json.loads(run("torque_at_wrench", "target=7.375621492772654 ft-lb", "lever=10 in", "--json").output)
    assert metric["values"] == pytest.approx(inches["values"], rel=1e-12)


@pytest.mark.parametrize("shear", ["shear=180 MPa", "shear_mpa=180", "shear=26106.793 psi"])
def test_the_strength_of_a_metal_goes_past_any_pressure(shear: str) -> None:
    output = json.loads(run("thread_strip", "thread=M8x1.25", "grade=8.8", "engaged=12", shear, "--json").output)
    assert output["values"]["strip_n"] == pytest.approx(36_350, rel=1e-4)


@pytest.mark.parametrize(("words", "code"), [
    (("torque_at_wrench", "target=10 lb", "lever=350"), "unit_ambiguous"),
    (("torque_at_wrench", "target=10 N·m", "lever=0"), "amount_not_positive"),
    (("torque_at_wrench", "target=10 N·m"), "calc_field_missing"),
    (("torque_at_wrench", "goal=10"), "calc_field_unknown"),
    (("torque_at_wrench", "10"), "calc_field_unreadable"),
    (("torque_at_wrench", "target=9 to 11 N·m", "lever=350"), "calc_single_number"),
    (("premix_oil", "fuel=1 l", "ratio=32:1", "oil_injection=perhaps"), "calc_yes_or_no"),
    (("choose_wrench", "target=10", "wrenches=[{"), "calc_json_unreadable"),
    (("choose_wrench", "target=10", "wrenches=@/no/such/file"), "calc_json_unreadable"),
])
def test_bad_input_is_refused_by_its_code(words: tuple[str, ...], code: str) -> None:
    name, *pairs = words
    with pytest.raises(Refused) as caught:
        CALCULATIONS[name](**arguments_of(CALCULATIONS[name], pairs))
    assert caught.value.code == code


def test_a_refusal_is_three_sentences_and_exit_code_1() -> None:
    result = run("torque_at_wrench", "target=10 lb", "lever=350")
    assert result.exit_code == 1
    assert "lbf·ft or lbf·in" in result.stderr
    assert len(result.stderr.strip().splitlines()) == 3


ODD = [
    "", "none", "0", "-1", "1e308", "x", "[]", "[0]", "[null]", "[[0,0]]", "[{}]", "{}", '{"date":1}', "NaN", "[NaN]", "yes", "1/2", "1/0",
    "1,5", "1,500", "1000,500", "10 N·m 5 lb", "999999999999", "150 %", "0,0 1,1", "50 mm;60 mm", '{"steps":[{}]}', '{"steps":5}',
    '{"steps":[],"joints":{"j":{}},"figures":{},"tools":{}}', '[{"name":"a","low":NaN,"high":2}]', '[{"date":"2026-01-01","every":"x"}]',
]


def said_of(name: str, pairs: list[str]) -> str:
    """The answer as JSON, never with an endless number, or the three parts of the refusal."""
    try:
        answer = CALCULATIONS[name](**arguments_of(CALCULATIONS[name], pairs))
    except Refused as refusal:
        return str(message_for(refusal.code, refusal.values))
    return json.dumps([*answer.values.values()], allow_nan=False).translate({ord("{"): "", ord("}"): ""})


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_odd_input_is_answered_or_refused_and_never_endless(name: str) -> None:
    """Every field of every calculation with odd text: alone beside plain numbers, and in all of them at once."""
    fields = list(fields_of(CALCULATIONS[name]))
    for odd in ODD:
        for only in [None, *fields]:
            pairs = [f"{field}={odd if only in (None, field) else '10'}" for field in fields]
            said = said_of(name, pairs)
            assert said, pairs
            assert "{" in odd or "{" not in said, (pairs, said)


def test_heights_past_a_kilometre_and_decimal_commas_in_lists_are_read() -> None:
    assert "reads: 120 kPa" in run("tyre_reads", "pressure_kpa=100", "from_c=20", "to_c=20", "to_altitude_m=1800").output
    assert arguments_of(CALCULATIONS["limit_check"], ["readings=3,4; 3,1"]) == {"readings": [3.4, 3.1]}
    with pytest.raises(Refused, match="number_ambiguous"):
        arguments_of(CALCULATIONS["bottle_plan"], ["need=1.3 l", "sizes=1000,500"])


DUE = ('limbs=[{"meter":"months","every":6}]', "today=2026-11-25", 'done={"date":"2026-06-01"}')


def test_due_days_go_into_a_calendar_file(tmp_path: Path) -> None:
    file = tmp_path / "due.ics"
    assert run("service_due", *DUE, "--calendar", str(file)).exit_code == 0
    assert "DTSTART;VALUE=DATE:20261201\r\n" in file.read_bytes().decode()
    nowhere = run("service_due", *DUE, "--calendar", str(tmp_path / "no" / "due.ics"))
    assert (nowhere.exit_code, len(nowhere.stderr.strip().splitlines())) == (1, 3)
    assert run("bottle_mark", "bottle=1 l", "pour=850", "--calendar", str(file)).exit_code == 1


def test_lists_of_records_are_said_line_by_line_without_codes() -> None:
    output = run("service_list", 'tasks=[{"id":"oil","limbs":[{"meter":"hours","every":15}]}]', "log=[]", "today=2026-11-25").output
    assert "  id oil, state unknown" in output
    assert "      meter hours, limit 15" in output
    assert "Working: 12.40 V after 5.0 h at rest: three quarters" in run("battery_rest", "voltage=12.4", "rested=5").output


def test_an_unknown_name_is_refused() -> None:
    assert run("sorcery").exit_code == 1


def test_lists_holes_and_records_are_read() -> None:
    assert arguments_of(CALCULATIONS["tightening_order"], ["positions=0,0 80,0; 80,60"]) == {
        "positions": [[0, 0], [80, 0], [80, 60]]}
    assert arguments_of(CALCULATIONS["bottle_plan"], ["need=1.1 l", "sizes=1000, 500"]) == {
        "need_ml": 1100, "sizes_ml": [1000, 500]}
    assert arguments_of(CALCULATIONS["tyre_reads"], ["pressure=12 psi", "from=68 °F", "to=0", "to_altitude=1 m"])[
        "pressure_kpa"] == pytest.approx(82.737, abs=1e-3)
