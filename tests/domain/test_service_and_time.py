"""Service due and labour time: order of entries is nothing, more use is never less due, more logs narrow the range."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchtrail.domain.calendar_file import calendar_file
from benchtrail.domain.dates import add_days, add_months, days_between
from benchtrail.domain.intervals import service_due
from benchtrail.domain.kit import ride_home
from benchtrail.domain.labour_time import job_time, learned_weight, step_time, student_t_90, student_t_cdf
from benchtrail.domain.service_log import last_done, meter_total

settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")

URGENCY = ["ok", "unknown", "due_soon", "overdue"]
days = st.dates(date(2024, 1, 1), date(2028, 12, 31))
hours = st.floats(min_value=0, max_value=500)


def due(**given_values: Any) -> dict[str, Any]:
    return dict(service_due(**given_values).values)


@given(days, hours, st.floats(min_value=0, max_value=60), st.floats(min_value=0, max_value=30))
def test_more_hours_are_never_less_due(day: date, start: float, used: float, more: float) -> None:
    def state(reading: float) -> int:
        later = (day + timedelta(days=30)).isoformat()
        values = due(limbs=[{"meter": "hours", "every": 15}], done={"date": day.isoformat(), "hours": start}, today=later,
                     readings=[{"date": later, "hours": reading}])
        return URGENCY.index(values["state"])
    assert state(start + used) <= state(start + used + more)


@given(days, st.integers(1, 400), st.integers(0, 500), st.integers(0, 200))
def test_later_is_never_less_due(day: date, every: int, passed: int, more: int) -> None:
    def state(today: date) -> int:
        values = due(limbs=[{"meter": "days", "every": every}], done={"date": day.isoformat()}, today=today.isoformat())
        return URGENCY.index(values["state"])
    assert state(day + timedelta(days=passed)) <= state(day + timedelta(days=passed + more))


@given(days, hours, st.permutations([(5, 3.0), (20, 9.0), (41, 17.5)]))
def test_the_order_in_which_readings_arrive_is_nothing(day: date, start: float, gaps: list[tuple[int, float]]) -> None:
    readings = [{"date": (day + timedelta(days=n)).isoformat(), "hours": start + used} for n, used in gaps]
    done = {"date": day.isoformat(), "hours": start}
    limbs = [{"meter": "hours", "every": 30}, {"meter": "months", "every": 6}]
    today = (day + timedelta(days=45)).isoformat()
    assert due(limbs=limbs, done=done, readings=readings, today=today) == due(
        limbs=limbs, done=done, readings=sorted(readings, key=lambda r: str(r["date"])), today=today)


@given(days, hours)
def test_hard_use_is_due_no_later(day: date, used: float) -> None:
    later = (day + timedelta(days=20)).isoformat()
    given_values: dict[str, Any] = {"limbs": [{"meter": "hours", "every": 40}], "today": later,
                                    "done": {"date": day.isoformat(), "hours": 0}, "readings": [{"date": later, "hours": used}]}
    normal, hard = due(**given_values), due(**given_values, severity=0.5)
    assert URGENCY.index(hard["state"]) >= URGENCY.index(normal["state"])


@given(days, st.integers(0, 60))
def test_a_month_later_is_never_in_a_month_after_that(day: date, months: int) -> None:
    later = add_months(day, months)
    assert (later.year * 12 + later.month) - (day.year * 12 + day.month) == months
    assert later.day == day.day or (later.day < day.day and (later + timedelta(days=1)).day == 1)
    assert days_between(day, add_days(day, months)) == months


@given(st.lists(st.floats(min_value=0, max_value=50), min_size=1, max_size=8))
def test_a_meter_that_only_grows_is_its_own_total(steps: list[float]) -> None:
    readings = [sum(steps[:n + 1]) for n in range(len(steps))]
    entries = [{"date": (date(2026, 1, 1) + timedelta(days=n)).isoformat(), "reading": r} for n, r in enumerate(readings)]
    assert meter_total(entries=entries).values["total"] == pytest.approx(readings[-1])


@given(st.floats(min_value=0, max_value=500), st.floats(min_value=0, max_value=100), st.floats(min_value=0, max_value=100))
def test_changing_a_meter_loses_no_hours(before: float, shows: float, after: float) -> None:
    entries: list[dict[str, object]] = [
        {"date": "2026-01-01", "reading": before}, {"date": "2026-01-01", "reading": shows, "new_meter": True},
        {"date": "2026-02-01", "reading": shows + after}]
    assert meter_total(entries=entries).values["total"] == pytest.approx(before + after, abs=1e-9)


def test_a_larger_job_counts_for_what_it_contains_but_not_the_other_way() -> None:
    log = [{"task": "big", "date": "2026-01-01"}, {"task": "small", "date": "2026-02-01"}]
    assert last_done(task="small", contains={"big": ["small"]}, log=log).values["by"] == "small"
    assert last_done(task="big", contains={"big": ["small"]}, log=log).values["by"] == "big"


@given(st.text(max_size=200), days)
def test_a_calendar_line_is_never_longer_than_75_octets(summary: str, day: date) -> None:
    summary = "".join(char for char in summary if not 0xD800 <= ord(char) <= 0xDFFF)
    text = calendar_file([{"uid": "u", "date": day.isoformat(), "summary": summary}], "20261125T080000Z")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    unfolded = text.replace("\r\n ", "")
    said = next(line for line in unfolded.split("\r\n") if line.startswith("SUMMARY:"))
    assert said.count("\\n") >= summary.replace("\r\n", "\n").replace("\\", "").count("\n")


times = st.floats(min_value=1, max_value=200)


@given(times, st.lists(times, max_size=6))
def test_the_range_holds_its_middle_and_the_estimate_scales(estimate: float, logs: list[float]) -> None:
    values: Any = step_time(estimate_min=estimate, logs_min=logs).values
    assert values["q10_min"] < values["q50_min"] < values["q90_min"]
    twice: Any = step_time(estimate_min=2 * estimate, logs_min=[2 * log for log in logs]).values
    assert twice["q90_min"] == pytest.approx(2 * values["q90_min"])


@given(times, st.integers(1, 40))
def test_logs_that_agree_narrow_the_range(estimate: float, count: int) -> None:
    few, more = (dict(step_time(estimate_min=estimate, logs_min=[estimate] * n).values) for n in (count, count + 5))
    assert float(str(more["q90_min"])) < float(str(few["q90_min"]))


@given(st.lists(st.tuples(times, st.floats(min_value=0, max_value=0.8)), min_size=1, max_size=10))
def test_a_whole_job_scales_and_is_no_shorter_in_another_order(steps: list[tuple[float, float]]) -> None:
    def job(rows: list[tuple[float, float]], scale: float = 1) -> Any:
        return job_time(steps=[{"median_min": m * scale, "sigma": s} for m, s in rows]).values
    values = job(steps)
    assert values["q10_min"] <= values["q50_min"] <= values["q90_min"]
    assert values["q50_min"] <= values["mean_min"] * (1 + 1e-12)
    assert job(steps[::-1])["q90_min"] == pytest.approx(values["q90_min"])
    assert job(steps, 3)["q90_min"] == pytest.approx(3 * values["q90_min"])


@given(st.integers(3, 400))
def test_students_t_holds_90_percent(degrees: int) -> None:
    assert student_t_cdf(student_t_90(degrees), degrees) == pytest.approx(0.9, abs=1e-12)
    assert student_t_90(degrees) > student_t_90(degrees + 1) > 1.2815515655446004


def test_estimates_that_never_hold_weigh_least() -> None:
    wild = [{"estimate_min": 10, "logs_min": [100 * (5 ** (n % 2)), 101 * (5 ** (n % 2)), 99 * (5 ** (n % 2))]} for n in range(40)]
    assert learned_weight(steps=wild).values["weight"] == 0.5


@pytest.mark.parametrize("safety", ["brakes", "steering", "fuel", "wheels", "throttle", "lifting"])
@pytest.mark.parametrize("state", ["by_lever", "not_final", "single_use_reused", "undone", "fluid_low"])
def test_nothing_open_on_a_safety_joint_is_ever_ridden(safety: str, state: str) -> None:
    concerns = [{"name": "a", "safety": "normal", "state": "by_lever"}, {"name": "b", "safety": safety, "state": state}]
    assert ride_home(concerns=concerns).values["verdict"] == "do_not_ride"
