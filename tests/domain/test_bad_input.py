"""Every number of every calculation with what people type by mistake: refused in three parts, or answered with numbers.

The texts are those of `frontend/src/screens/numbers/bad-input.test.tsx`, read here as the command line reads them.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_type_hints

import pytest

from benchtrail.cli.calc_input import arguments_of, fields_of
from benchtrail.domain.answer import answer_data
from benchtrail.domain.calculations import CALCULATIONS
from benchtrail.domain.refused import Refused
from benchtrail.messages import message_for

VECTORS = Path(__file__).resolve().parents[2] / "shared" / "vectors"
BAD: dict[str, list[Any]] = json.loads((VECTORS / "fixtures" / "bad-texts.json").read_text(encoding="utf-8"))
# may be below nothing: temperatures, angles, heights above the sea, a limit in any unit
SIGNED = {"at_least", "from_c", "to_c", "lowest_c", "adapter_angle_deg", "below_level_deg", "from_altitude_m", "to_altitude_m"}


def sound_inputs() -> dict[str, dict[str, Any]]:
    """For each calculation the input of its first vector that gives an answer."""
    cases = [case for path in sorted(VECTORS.glob("*.json")) for case in json.loads(path.read_text(encoding="utf-8"))]
    found: dict[str, dict[str, Any]] = {}
    for case in cases:
        if case["function"] in CALCULATIONS and "expect" in case and "$fixture" not in json.dumps(case["input"]):
            found.setdefault(case["function"], {key: value for key, value in case["input"].items() if key != "pick"})
    return found


SOUND = sound_inputs()


def number_fields() -> Iterator[tuple[str, str]]:
    for name, calculation in CALCULATIONS.items():
        for field, hint in get_type_hints(calculation).items():
            if field != "return" and hint in {float, float | None, int}:
                yield name, field


FIELDS = list(number_fields())


def as_typed(value: Any) -> str:
    """A value as it is typed at the command line."""
    if isinstance(value, str):
        return value
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    if isinstance(value, list) and value and all(isinstance(one, list) for one in value):
        return " ".join(",".join(map(repr, place)) for place in value)
    if isinstance(value, list) and value and all(isinstance(one, int | float) for one in value):
        return "; ".join(map(repr, value))
    return repr(value) if isinstance(value, int | float) else json.dumps(value)


def looked_at(refusal: Refused) -> str:
    """The code of a refusal whose three parts are sentences with every place filled."""
    message = message_for(refusal.code, refusal.values)
    for part in (message.happened, message.means, message.do):
        assert len(part.split()) > 2, refusal.code
        assert "{" not in part, part
    return refusal.code


def outcome(name: str, field: str, text: str) -> str | dict[str, Any]:
    """The code of the refusal, its message looked at; or the answer as plain data without NaN."""
    calculation = CALCULATIONS[name]
    needed = {key for key, (_, must) in fields_of(calculation).items() if must}
    pairs = {key: as_typed(value) for key, value in SOUND[name].items() if value != [] or key in needed} | {field: text}
    try:
        answer = calculation(**arguments_of(calculation, [f"{key}={value}" for key, value in pairs.items()]))
    except Refused as refusal:
        return looked_at(refusal)
    found: dict[str, Any] = json.loads(json.dumps(answer_data(answer), allow_nan=False))
    return found


def test_every_calculation_has_a_sound_input() -> None:
    assert set(CALCULATIONS) - set(SOUND) == set()
    assert len(FIELDS) > 90


@pytest.mark.parametrize("name", sorted(SOUND))
def test_the_sound_input_is_answered(name: str) -> None:
    field, value = next((key, value) for key, value in SOUND[name].items() if value != [] or len(SOUND[name]) == 1)
    assert isinstance(outcome(name, field, as_typed(value)), dict)


@pytest.mark.parametrize(("name", "field"), FIELDS)
def test_what_is_no_number_is_refused(name: str, field: str) -> None:
    for text in [*BAD["unreadable"], *BAD["absurd"], *BAD["mixed"], ""]:
        assert isinstance(outcome(name, field, text), str), text


@pytest.mark.parametrize(("name", "field"), [(name, field) for name, field in FIELDS if field not in SIGNED])
def test_a_negative_number_is_refused(name: str, field: str) -> None:
    for text in BAD["negative"]:
        assert isinstance(outcome(name, field, text), str), text


@pytest.mark.parametrize(("name", "field"), FIELDS)
def test_decimal_commas_fractions_and_spaces_say_the_same_as_points(name: str, field: str) -> None:
    for one, other in BAD["same"]:
        assert outcome(name, field, one) == outcome(name, field, other)


@pytest.mark.parametrize(("name", "field"), [(name, field) for name, field in FIELDS if field.endswith("percent")])
def test_more_than_100_percent_is_refused(name: str, field: str) -> None:
    for text in BAD["percent"]:
        assert isinstance(outcome(name, field, text), str), text


@pytest.mark.parametrize(("name", "field"), [(name, field) for name, field in FIELDS if field in {"lever_mm", "arm_mm"}])
def test_a_lever_of_zero_is_refused(name: str, field: str) -> None:
    assert outcome(name, field, "0") == "amount_not_positive"


@pytest.mark.parametrize("name", sorted(SOUND))
def test_what_is_left_out_is_asked_for(name: str) -> None:
    calculation = CALCULATIONS[name]
    with pytest.raises(Refused, match="calc_field_missing"):
        arguments_of(calculation, [])
