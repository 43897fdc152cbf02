"""The variants of a model, and a set of them in words: the words say exactly the set."""

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchtrail.domain.guard_text import parse_guard
from benchtrail.domain.guards import guard_holds
from benchtrail.domain.refused import Refused
from benchtrail.domain.variants import VariantSpace, describe_variants, usable_guard, variants_of

MODEL: dict[str, Any] = {"years": [2021, 2026], "options": [
    {"id": "kick", "name": "kick starter", "group": None, "when": None},
    {"id": "plate", "name": "skid plate", "group": None, "when": None},
    {"id": "heater", "name": "heater", "group": None, "when": ["year", ">=", 2024]},
    {"id": "chain", "name": "chain", "group": "drive", "when": None},
    {"id": "shaft", "name": "shaft", "group": "drive", "when": ["year", ">=", 2023]},
]}


def space_of(*guards: str, applies: str = "all") -> VariantSpace:
    return variants_of(MODEL, [parse_guard(guard) for guard in guards], parse_guard(applies))


@pytest.mark.parametrize(("guards", "count"), [
    ([], 1), (["kick"], 2), (["kick", "plate"], 4), (["year <= 2023"], 2), (["year <= 2023", "year >= 2024"], 2),
    (["year <= 2023", "plate"], 4), (["year = 2022"], 3), (["heater"], 3), (["chain"], 3), (["chain", "kick"], 6), (["year >= 2000"], 1),
])
def test_only_variants_that_a_guard_can_tell_apart_are_listed(guards: list[str], count: int) -> None:
    """heater: none up to 2023, then with and without; chain: up to 2022 only the chain, then chain or shaft."""
    assert len(space_of(*guards).variants) == count


def test_of_a_group_exactly_one_is_fitted() -> None:
    for variant in space_of("chain", "shaft").variants:
        assert len(set(variant["options"]) & {"chain", "shaft"}) == 1
        assert "shaft" not in variant["options"] or variant["year"] >= 2023


def test_only_variants_that_it_applies_to_are_listed() -> None:
    assert {variant["year"] for variant in space_of("plate", applies="year >= 2024").variants} == {2024}


def test_without_a_model_there_is_one_variant() -> None:
    assert len(variants_of(None, [["option", "x"]]).variants) == 1


def test_too_many_variants_are_refused() -> None:
    options = [{"id": f"o{n}", "name": f"option {n}", "group": None, "when": None} for n in range(11)]
    with pytest.raises(Refused) as refusal:
        variants_of({"years": [2020, 2020], "options": options}, [["option", f"o{n}"] for n in range(11)])
    assert refusal.value.code == "too_many_variants"


def test_a_guard_on_an_unknown_option_counts_as_always() -> None:
    assert usable_guard(["option", "nothing"], MODEL) is None
    assert usable_guard(["option", "kick"], MODEL) == ["option", "kick"]
    assert usable_guard(["year", "<", 2024], None) is None


@pytest.mark.parametrize(("guards", "subset", "words"), [
    (["plate", "year >= 2024"], "year >= 2024 and plate", "only from 2024 with skid plate"),
    (["plate", "year >= 2024"], "year <= 2023", "only up to 2023"),
    (["plate", "year >= 2024"], "plate or not plate", None),
    (["year = 2022"], "year = 2022", "only 2022"),
    (["year >= 2022", "year >= 2024"], "year >= 2022 and year <= 2023", "only 2022 to 2023"),
    (["kick", "plate"], "kick and not plate", "only with kick starter without skid plate"),
    (["kick", "plate"], "kick or plate", "only with skid plate; or with kick starter"),
    (["chain"], "shaft", "only with shaft"),
    (["kick"], "kick and not kick", "in no variant"),
])
def test_a_set_of_variants_in_words(guards: list[str], subset: str, words: str | None) -> None:
    space = space_of(*guards)
    chosen = {n for n, variant in enumerate(space.variants) if guard_holds(parse_guard(subset), variant)}
    assert describe_variants(space, chosen) == words


def said_by(words: str, space: VariantSpace) -> set[int]:
    """Reads the words back into the set of variants, by their own grammar."""
    ids = {name: key for key, name in space.names.items()}
    found: set[int] = set()
    for part in words.removeprefix("only ").split("; or "):
        years = re.search(r"(?:(from|up to) )?(\d{4})(?: to (\d{4}))?", part)
        low = int(years[2]) if years and years[1] != "up to" else 0
        high = int(years[3] or years[2]) if years and years[1] != "from" else 9999
        fitted = re.search(r"with (.*?)(?= without |$)", part.replace("without", "\0"))
        wanted = {ids[name] for name in fitted[1].split(" \0")[0].split(" and ")} if fitted else set()
        missing = re.search(r"without (.*)", part)
        unwanted = {ids[name] for name in missing[1].split(" and ")} if missing else set()
        found |= {n for n, variant in enumerate(space.variants) if low <= space.spans[variant["year"]][0]
                  and space.spans[variant["year"]][1] <= high and wanted <= set(variant["options"])
                  and not unwanted & set(variant["options"])}
    return found


@given(st.data())
def test_the_words_say_exactly_the_set(data: st.DataObject) -> None:
    space = space_of("kick", "plate", "year >= 2023", "year >= 2025")
    chosen = data.draw(st.sets(st.integers(0, len(space.variants) - 1), min_size=1))
    words = describe_variants(space, chosen)
    assert (set(range(len(space.variants))) if words is None else said_by(words, space)) == chosen
