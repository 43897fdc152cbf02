"""Runs every case of every file in shared/vectors; frontend/src/domain/vectors.test.ts runs the same in TypeScript.

A file is a list of cases `{description, function, input, expect | error, tolerance?, source}`:
- `input` holds named arguments; `{"$fixture": "name"}` anywhere in it stands for shared/vectors/fixtures/name.json,
  and `{"$fixture": "name", "$with": {…}}` for the same with some of its fields replaced;
- `expect` is compared exactly, numbers within `tolerance`: a number is absolute, `{"relative": 1e-9}` is of the value;
- `error` is the code of a refusal, or `{code, values}`.
"""

import copy
import json
import math
from pathlib import Path
from typing import Any

import pytest
from tests.domain.vector_functions import FUNCTIONS

from benchtrail.domain.refused import Refused

VECTORS = Path(__file__).resolve().parents[2] / "shared" / "vectors"
FIELDS = {"description", "function", "input", "expect", "error", "tolerance", "source"}
FIXTURES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in (VECTORS / "fixtures").glob("*.json")}
FILES = {path.name: json.loads(path.read_text(encoding="utf-8")) for path in sorted(VECTORS.glob("*.json"))}
CASES = [pytest.param(case, id=f"{name}: {case['description']}") for name, cases in FILES.items() for case in cases]


def filled(value: Any) -> Any:
    """`value` with its fixtures put in."""
    if isinstance(value, list):
        return [filled(item) for item in value]
    if isinstance(value, dict):
        if "$fixture" in value:
            return copy.deepcopy(FIXTURES[value["$fixture"]] | value.get("$with", {}))
        return {key: filled(item) for key, item in value.items()}
    return value


def numbers_agree(got: float, expected: float, tolerance: Any) -> bool:
    if isinstance(tolerance, dict):
        return math.isclose(got, expected, rel_tol=tolerance["relative"], abs_tol=0)
    return abs(got - expected) <= (tolerance or 0)


def difference(got: Any, expected: Any, tolerance: Any, at: str = "result") -> str | None:
    """Where and how `got` differs from `expected`, in words; None when they agree."""
    if isinstance(expected, list) and isinstance(got, list | tuple) and len(expected) == len(got):
        found = (difference(g, e, tolerance, f"{at}[{n}]") for n, (g, e) in enumerate(zip(got, expected, strict=True)))
        return next((line for line in found if line), None)
    if isinstance(expected, dict) and isinstance(got, dict) and expected.keys() == got.keys():
        found = (difference(got[key], expected[key], tolerance, f"{at}.{key}") for key in expected)
        return next((line for line in found if line), None)
    if is_number(expected) and is_number(got):
        return None if numbers_agree(got, expected, tolerance) else f"{at}: {got!r}, expected {expected!r}"
    same = type(expected) is type(got) and expected == got
    return None if same else f"{at}: {got!r}, expected {expected!r}"


def is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


@pytest.mark.parametrize("case", CASES)
def test_vector(case: dict[str, Any]) -> None:
    function = FUNCTIONS[case["function"]]
    arguments = filled(case["input"])
    if "error" in case:
        with pytest.raises(Refused) as caught:
            function(**arguments)
        expected = case["error"] if isinstance(case["error"], dict) else {"code": case["error"]}
        assert {key: getattr(caught.value, key) for key in expected} == expected
        return
    before = copy.deepcopy(arguments)
    got = function(**arguments)
    assert difference(got, case["expect"], case.get("tolerance")) is None
    assert arguments == before, "a pure function leaves what it was given as it was"


@pytest.mark.parametrize("name", FILES)
def test_vector_file_is_well_formed(name: str) -> None:
    cases = FILES[name]
    assert cases, "a file of vectors has cases"
    for case in cases:
        assert set(case) <= FIELDS, case
        assert {"description", "function", "input", "source"} <= set(case), case
        assert ("expect" in case) != ("error" in case), case["description"]
        assert case["source"].strip(), case["description"]
    descriptions = [case["description"] for case in cases]
    assert len(descriptions) == len(set(descriptions)), "a description names one case"


def test_every_registered_function_has_a_vector() -> None:
    called = {case["function"] for cases in FILES.values() for case in cases}
    assert set(FUNCTIONS) - called == set()


def test_the_comparison_sees_differences() -> None:
    assert difference({"a": [1.0]}, {"a": [1]}, None) is None
    assert difference({"a": [1.0]}, {"a": [1.1]}, 0.05) == "result.a[0]: 1.0, expected 1.1"
    assert difference(1.0, 1.1, {"relative": 0.1}) is None
    assert difference(True, 1, None) is not None
    assert difference({"a": 1}, {"a": 1, "b": None}, None) is not None
    assert difference([1], [1, 2], None) is not None
    assert difference(math.nan, 1.0, 1) is not None
    assert difference("1", 1, None) is not None
