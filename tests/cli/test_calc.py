"""`benchtrail calc` speaks: lists, answers, refuses in three parts, and gives JSON."""

import json

import pytest
from click.testing import CliRunner, Result

from benchtrail.cli import main
from benchtrail.cli.calc_input import arguments_of
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused


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


def test_an_unknown_name_is_refused() -> None:
    assert run("sorcery").exit_code == 1


def test_lists_holes_and_records_are_read() -> None:
    assert arguments_of(CALCULATIONS["tightening_order"], ["positions=0,0 80,0; 80,60"]) == {
        "positions": [[0, 0], [80, 0], [80, 60]]}
    assert arguments_of(CALCULATIONS["bottle_plan"], ["need=1.1 l", "sizes=1000, 500"]) == {
        "need_ml": 1100, "sizes_ml": [1000, 500]}
    assert arguments_of(CALCULATIONS["tyre_reads"], ["pressure=12 psi", "from=68 °F", "to=0", "to_altitude=1 m"])[
        "pressure_kpa"] == pytest.approx(82.737, abs=1e-3)
