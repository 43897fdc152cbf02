"""P9 of the properties: what checking costs grows in proportion to the steps. Calls are counted, never time."""

import sys
from types import FrameType
from typing import Any

import pytest
from tests.bench.check import repeated
from tests.bench.checker_score import Clean, library


def calls_of_checking(clean: Clean, text: Any) -> int:
    """How many calls of Python functions one check makes; what is kept from an earlier check is there already."""
    counted = 0

    def count(_frame: FrameType, event: str, _value: object) -> None:
        nonlocal counted
        counted += event == "call"

    clean.check(text)
    sys.setprofile(count)
    try:
        clean.check(text)
    finally:
        sys.setprofile(None)
    return counted


CLEANS = sorted(library(), key=lambda clean: len(clean.text.steps))


@pytest.mark.parametrize("clean", [CLEANS[len(CLEANS) // 2], CLEANS[-1]], ids=lambda clean: clean.name)
def test_a_step_more_costs_the_same_in_a_long_procedure_as_in_a_short_one(clean: Clean) -> None:
    once, twice, four = (calls_of_checking(clean, repeated(clean, times)) for times in (1, 2, 4))
    assert once < twice < four
    assert four - twice < 1.1 * 2 * (twice - once)
