"""Units: what is written comes back, every spelling is known in one way only, conversions are exact both ways."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchtrail.domain.figure_display import figure_in_both
from benchtrail.domain.refused import Refused
from benchtrail.domain.rounding import DISPLAY_STEPS, decimals_of, display_step, number_text, round_half_away, shown
from benchtrail.domain.spellings import CANDIDATES, KINDS, SYMBOL_OF, UNITS, spelling_key
from benchtrail.domain.units import convert, parse_pair, parse_quantity, unit_factor, unit_kind

amounts = st.floats(min_value=1e-3, max_value=1e4)
symbols = st.sampled_from(sorted(UNITS))


@pytest.mark.parametrize("word", sorted(SYMBOL_OF))
def test_every_spelling_is_its_own_key_and_reads_as_its_unit(word: str) -> None:
    symbol = SYMBOL_OF[word]
    kind = unit_kind(symbol)
    assert spelling_key(word) == word, "a spelling stands in the table as it is compared"
    assert parse_quantity(f"1 {word}", kind).written_unit == symbol


def test_no_spelling_means_two_units() -> None:
    words = [word for _, spellings in UNITS.values() for word in spellings.split()]
    assert sorted(words) == sorted(set(words))


@pytest.mark.parametrize("kind", [kind for kind in CANDIDATES if kind])
def test_every_ambiguous_spelling_is_refused_with_units_that_exist(kind: str) -> None:
    for word, candidates in CANDIDATES[kind].items():
        assert all(unit_kind(symbol) == kind for symbol in candidates)
        with pytest.raises(Refused, match="unit_ambiguous"):
            parse_quantity(f"1 {word}", kind)


def test_every_kind_has_its_canonical_unit_with_factor_one() -> None:
    for kind, unit in KINDS.items():
        assert unit_kind(unit) == kind
        assert unit_factor(unit) == 1


@given(amounts, symbols, symbols)
def test_there_and_back_again(value: float, first: str, second: str) -> None:
    if unit_kind(first) != unit_kind(second):
        with pytest.raises(Refused, match="units_of_two_kinds"):
            convert(value, first, second)
        return
    assert convert(convert(value, first, second), second, first) == pytest.approx(value, rel=1e-12, abs=1e-9)


@given(amounts, amounts, symbols)
def test_conversion_keeps_the_order(a: float, b: float, symbol: str) -> None:
    canonical = KINDS[unit_kind(symbol)]
    kept = (convert(a, symbol, canonical) < convert(b, symbol, canonical)) == (a < b)
    assert kept or math.isclose(a, b, rel_tol=1e-12)


@given(st.decimals(min_value=0, max_value=1999, places=3), st.sampled_from(["N·m", "lbf·ft", "mm", "ml", "kPa", "°C"]))
def test_what_is_written_is_kept(number: object, unit: str) -> None:
    quantity = parse_quantity(f"{number} {unit}")
    assert quantity.written_value == float(str(number))
    assert quantity.written_unit == unit
    assert quantity.as_written == f"{number} {unit}"


@given(st.text(max_size=40), st.sampled_from([None, *KINDS]))
def test_any_text_is_read_or_refused_never_worse(text: str, kind: str | None) -> None:
    for read in (parse_quantity, parse_pair):
        with contextlib.suppress(Refused):
            read(text, kind)


@given(st.text(alphabet="0123456789.,/-+±–: NmlbftinkgcozF°\"'%()", max_size=30))
def test_texts_that_look_like_amounts_are_read_or_refused(text: str) -> None:
    try:
        quantity = parse_quantity(text)
    except Refused:
        return
    numbers = [n for n in (quantity.value, quantity.low, quantity.high) if n is not None]
    assert numbers
    assert all(math.isfinite(n) for n in numbers)


@given(amounts, st.sampled_from(["N·m", "lbf·ft", "lbf·in", "kgf·m"]))
def test_both_units_of_a_figure_agree_within_their_rounding(value: float, unit: str) -> None:
    text = number_text(value)
    if not 0.05 < convert(float(text), unit, "N·m") < 15_000:
        return
    both = figure_in_both({"kind": "torque", "as_published": f"{text} {unit}"})
    other = both["other"]
    assert other is not None
    exact = convert(float(both["main"]["text"]), unit, other["unit"])
    assert abs(float(other["text"]) - exact) <= display_step(exact, other["unit"]) / 2 * (1 + 1e-9)


@given(st.floats(min_value=-1e6, max_value=1e6), st.sampled_from([0.001, 0.01, 0.05, 0.1, 0.25, 0.5, 1, 5]))
def test_rounding_is_symmetric_near_and_settled(value: float, step: float) -> None:
    rounded = round_half_away(value, step)
    assert rounded == -round_half_away(-value, step)
    assert abs(rounded - value) <= step / 2 * (1 + 1e-6) + abs(value) * 1e-11  # a value a hair off a half counts as the half
    assert round_half_away(rounded, step) == rounded


@pytest.mark.parametrize("unit", DISPLAY_STEPS)
def test_steps_grow_with_the_value_and_have_few_decimals(unit: str) -> None:
    steps = [step for _, step in DISPLAY_STEPS[unit]]
    assert steps == sorted(steps)
    assert DISPLAY_STEPS[unit][-1][0] == math.inf
    assert all(decimals_of(step) <= 3 for step in steps)
    assert "e" not in shown(12345.678, unit)
