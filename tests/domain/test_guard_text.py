"""Guards in words: what they compile to, what cannot be read, and that they hold as their words say."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchtrail.domain.guard_text import parse_guard
from benchtrail.domain.guards import Guard, Variant, guard_holds
from benchtrail.domain.refused import Refused

A, B, C = (["option", name] for name in "abc")


@pytest.mark.parametrize(("text", "guard"), [
    ("all", None), ("a", A), ("not a", ["not", A]), ("year <= 2023", ["year", "<=", 2023]), ("year=2023", ["year", "=", 2023]),
    ("year == 2023", ["year", "=", 2023]), ("year ≥ 2024", ["year", ">=", 2024]), ("a and b", ["all", A, B]),
    ("a or b or c", ["any", A, B, C]),
    ("a or b and c", ["any", A, ["all", B, C]]), ("(a or b) and c", ["all", ["any", A, B], C]), ("not (a or b)", ["not", ["any", A, B]]),
    ("not not a", ["not", ["not", A]]), ("year >= 2024 and not a", ["all", ["year", ">=", 2024], ["not", A]]),
])
def test_a_guard_compiles_to_its_form(text: str, guard: Guard) -> None:
    assert parse_guard(text) == guard


@pytest.mark.parametrize(("text", "at"), [
    ("", "its end"), ("year", "its end"), ("year <= x", "“x”"), ("year 2023", "“2023”"), ("a and", "its end"), ("(a", "its end"),
    ("a b", "“b”"), ("year != 2020", "“!=”"), ("not", "its end"), ("a or or b", "“or”"), ("a)", "“)”"), ("A", "“A”"), ("2023", "“2023”"),
    ("a, b", "“,”"), ("year <= 2023.5", "“.”"), ("all and a", "“all”"), ("(" * 60 + "a" + ")" * 60, "“(”"),
])
def test_a_guard_that_cannot_be_read_says_where(text: str, at: str) -> None:
    with pytest.raises(Refused) as refusal:
        parse_guard(text)
    assert (refusal.value.code, refusal.value.values["at"]) == ("guard_unreadable", at)


def test_a_guard_without_end_is_refused() -> None:
    with pytest.raises(Refused) as refusal:
        parse_guard(" or ".join(["a"] * 200))
    assert refusal.value.code == "guard_too_long"


@given(st.text(max_size=60))
def test_no_text_makes_a_guard_fail(text: str) -> None:
    try:
        parse_guard(text)
    except Refused:
        return


GUARDS = st.recursive(
    st.one_of(st.sampled_from("abc").map(lambda name: (name, ["option", name])),
              st.tuples(st.sampled_from(["<", "<=", "=", ">=", ">"]), st.integers(2019, 2024)).map(
                  lambda pair: (f"year {pair[0]} {pair[1]}", ["year", *pair]))),
    lambda inner: st.one_of(inner.map(lambda one: (f"not ({one[0]})", ["not", one[1]])),
                            st.tuples(inner, inner).map(lambda two: (f"({two[0][0]}) and ({two[1][0]})", ["all", two[0][1], two[1][1]])),
                            st.tuples(inner, inner).map(lambda two: (f"({two[0][0]}) or ({two[1][0]})", ["any", two[0][1], two[1][1]]))),
    max_leaves=5)


@given(GUARDS, st.integers(2019, 2024), st.sets(st.sampled_from("abc")))
def test_words_and_form_hold_for_the_same_machines(pair: Any, year: int, options: set[str]) -> None:
    text, guard = pair
    variant: Variant = {"year": year, "options": sorted(options)}
    assert guard_holds(parse_guard(text), variant) is guard_holds(guard, variant)
