"""What many jobs say of a procedure's steps, and what is not said when they are few."""

from typing import Any

import pytest

from benchtrail.domain.step_statistics import step_statistics
from benchtrail.domain.step_trace import StepTrace

STEPS = [{"id": "a", "minutes": 2}, {"id": "b", "minutes": None}, {"id": "c", "minutes": 1}]


def trace(minutes: dict[str, float] | None = None, **other: Any) -> StepTrace:
    made: Any = {"minutes": minutes or {}, "untold": [], "reached": ["a", "b", "c"], "stopped": {}, "back": {}, "skipped": {}, "asked": {},
                 "notes": {}, "outside": {}}
    return made | other  # type: ignore[no-any-return]


def minutes(*of_a: float) -> list[StepTrace]:
    return [trace({"a": one}) for one in of_a]


@pytest.mark.parametrize(("n", "median", "tenths"),
                         [(0, False, False), (5, False, False), (6, True, False), (19, True, False), (20, True, True)])
def test_below_a_sane_number_nothing_is_said(n: int, median: bool, tenths: bool) -> None:
    times = step_statistics(STEPS, minutes(*[2 + k / 10 for k in range(n)]))[0]["times"]
    assert times["n"] == n
    assert [times[name] is not None for name in ("median_min", "low_min", "coverage")] == [median] * 3  # type: ignore[literal-required]
    assert [times[name] is not None for name in ("q10_min", "q90_min")] == [tenths] * 2  # type: ignore[literal-required]


def test_the_interval_comes_from_the_times_themselves() -> None:
    times = step_statistics(STEPS, minutes(3, 1, 4, 1.5, 5, 9, 2, 6, 5, 3.5))[0]["times"]
    assert (times["low_min"], times["high_min"], times["median_min"]) == (1.5, 6, pytest.approx(3.75))
    assert times["coverage"] == pytest.approx(0.9785, abs=5e-5)


def test_a_page_left_open_is_set_aside_and_said() -> None:
    times = step_statistics(STEPS, [*minutes(2, 2, 2, 3, 3, 3, 2, 12.1), trace(untold=["a"])])[0]["times"]
    assert times["n"] == 7
    assert times["aside"] == {"untold": 1, "left_running": 1}
    assert step_statistics(STEPS, minutes(2, 2, 2, 2, 3, 3, 2, 8))[0]["times"]["aside"] == {}, "four times the middle still counts"


def test_each_job_counts_once_at_a_step_however_often_something_happened_there() -> None:
    rows = step_statistics(STEPS, [trace(stopped={"a": 3}, back={"a": 1}), trace(asked={"b": 2}, notes={"b": 4}), trace()])
    assert [(row["jobs"], row["stopped"], row["back"], row["asked"], row["notes"], row["trouble"]) for row in rows] == [
        (3, 1, 1, 0, 0, 1), (3, 0, 0, 1, 1, 1), (3, 0, 0, 0, 0, 0)]


def test_a_step_that_stands_out_is_pointed_at_and_only_with_enough_jobs() -> None:
    many = [trace(back={"b": 1}) for _ in range(8)] + [trace() for _ in range(2)]
    assert [row["look"] for row in step_statistics(STEPS, many)] == [[], ["trouble"], []]
    few = step_statistics(STEPS, many[:4])
    assert [(row["too_few"], row["look"]) for row in few] == [(True, []), (True, []), (True, [])]


def test_trouble_that_is_the_same_everywhere_points_at_nothing() -> None:
    everywhere = [trace(back={"a": 1, "b": 1, "c": 1}) for _ in range(30)]
    assert [row["look"] for row in step_statistics(STEPS, everywhere)] == [[], [], []]


@pytest.mark.parametrize(("times", "look"), [
    ([3.1, 3.2, 3.3, 3.4, 3.5, 3.6], ["slower"]), ([2.9, 3.2, 3.3, 3.4, 3.5, 3.6], []),
    ([1, 1.1, 1.2, 1.2, 1.2, 1.3], ["faster"]), ([1, 1.1, 1.2, 1.2, 1.2, 1.4], []), ([9, 9, 9, 9, 9], []),
])
def test_a_step_is_called_slower_or_faster_than_written_only_when_its_whole_interval_is(times: list[float], look: list[str]) -> None:
    assert step_statistics(STEPS, minutes(*times))[0]["look"] == look


def test_a_step_that_no_job_came_to_says_nothing() -> None:
    [row] = step_statistics([{"id": "new", "minutes": 4}], [trace()])
    assert (row["jobs"], row["times"]["n"], row["too_few"], row["look"]) == (0, 0, True, [])


def test_a_worn_part_is_not_the_texts_fault() -> None:
    [row, *_] = step_statistics(STEPS, [trace(outside={"a": 1}) for _ in range(9)])
    assert (row["outside"], row["trouble"], row["look"]) == (9, 0, [])
