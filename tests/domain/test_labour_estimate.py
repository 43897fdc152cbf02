"""How long a whole procedure takes: the author's word, corrected by few logs, with nothing guessed."""

from typing import Any

import pytest
from tests.domain.test_step_statistics import trace

from benchtrail.domain.labour_estimate import labour_estimate
from benchtrail.domain.labour_time import job_time, step_time


def step(id: str, minutes: float | None, when: Any = None) -> dict[str, Any]:
    return {"id": id, "minutes": minutes, "when": when}


STEPS = [step("a", 5), step("b", 10), step("c", None), step("d", 3, ["year", ">=", 2024])]


def test_without_jobs_it_is_the_authors_word_and_says_so() -> None:
    made = labour_estimate(STEPS, None, [])
    rows = [step_time(estimate_min=minutes).values for minutes in (5, 10)]
    whole = job_time(steps=[{"median_min": row["q50_min"], "sigma": row["sigma"]} for row in rows]).values
    assert [made[name] for name in ("q10_min", "q50_min", "q90_min")] == [whole[name] for name in ("q10_min", "q50_min", "q90_min")]  # type: ignore[literal-required]
    assert (made["author_min"], made["timed"], made["untimed"], made["logs"], made["mostly_author"]) == (15, 2, 1, 0, True)


def test_jobs_move_it_and_narrow_it() -> None:
    before = labour_estimate(STEPS, None, [])
    slow = [trace({"a": 9 + k / 10, "b": 20 - k / 10}) for k in range(8)]
    after = labour_estimate(STEPS, None, slow)
    assert before["q50_min"] is not None
    assert after["q50_min"] is not None
    assert before["q50_min"] < 20 < after["q50_min"] < 31
    assert _width(after) < _width(before)
    assert (after["logs"], after["mostly_author"], after["jobs"]) == (16, False, 8)


def _width(made: Any) -> float:
    return float(made["q90_min"] / made["q10_min"])


def test_a_step_of_other_machines_is_in_it_only_for_those() -> None:
    made = [labour_estimate(STEPS, {"year": year, "options": []}, []) for year in (2023, 2024)]
    assert [one["author_min"] for one in made] == [15, 18]
    assert labour_estimate(STEPS, None, [])["author_min"] == 15


@pytest.mark.parametrize(("n", "timed"), [(5, 2), (6, 3)])
def test_a_step_without_the_authors_word_needs_enough_jobs_to_count(n: int, timed: int) -> None:
    made = labour_estimate(STEPS, None, [trace({"c": 4 + k / 10}) for k in range(n)])
    assert (made["timed"], made["untimed"]) == (timed, 3 - timed)


def test_with_no_time_at_all_nothing_is_said() -> None:
    made = labour_estimate([step("x", None)], None, [])
    assert (made["q50_min"], made["timed"], made["untimed"]) == (None, 0, 1)
    assert labour_estimate([], None, [])["q50_min"] is None


def test_the_weight_of_the_authors_word_is_learned_from_thirty_steps() -> None:
    many = [step(f"s{n}", 10) for n in range(30)]
    traces = [trace({f"s{n}": 14 + (n + k) % 3 for n in range(30)}) for k in range(3)]
    assert labour_estimate(many, None, traces)["learned"]
    assert not labour_estimate(many[:29], None, traces)["learned"]
