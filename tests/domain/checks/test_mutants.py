"""A small share of the mutation bench (`python3 tests/bench checker`), with a fixed seed: nearly every single fault is found."""

from functools import cache

import pytest
from tests.bench.checker_score import Clean, Score, library, score_of

from benchtrail.domain.checks import run_checks

PROCEDURES = ("change-final-drive-oil", "clean-carburettor-jets", "renew-front-brake-pads-and-fluid")
SEED = 20261125


@cache
def cleans() -> dict[str, Clean]:
    return {clean.name: clean for clean in library(PROCEDURES)}


def share(score: Score) -> float:
    found, tried = (sum(row[n] for row in score.by_operator.values()) for n in (0, 1))
    return found / tried


def test_clean_procedures_give_no_alarm() -> None:
    assert [sorted(clean.known) for clean in cleans().values()] == [[], [], []]


@pytest.mark.parametrize("name", PROCEDURES)
def test_nearly_every_single_fault_is_found(name: str) -> None:
    score = score_of(cleans()[name], 1, SEED)
    assert sum(row[1] for row in score.by_operator.values()) >= 25
    assert share(score) >= 0.97, score.missed


def test_the_score_falls_when_nothing_is_played(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(run_checks, "OF_VERB", {})
    assert share(score_of(cleans()["change-final-drive-oil"], 1, SEED)) < 0.9


def test_what_is_independent_may_be_swapped_and_what_rests_on_another_may_not() -> None:
    clean = cleans()["change-final-drive-oil"]
    steps = {step["id"]: n for n, step in enumerate(clean.text.steps)}

    def with_swapped(first: str, second: str) -> list[dict[str, object]]:
        order = list(clean.text.steps)
        order[steps[first]], order[steps[second]] = order[steps[second]], order[steps[first]]
        return order

    assert not clean.is_fault(clean.text.steps)
    assert not clean.is_fault(with_swapped("wipe", "leaks"))
    assert clean.is_fault(with_swapped("guard-on", "guard-tight"))
