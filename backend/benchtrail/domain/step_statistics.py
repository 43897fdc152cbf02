"""What many jobs say of the steps of a procedure: usual times with what is not known about them, and where people get stuck.

Knows traces of jobs (domain/step_trace.py) and a procedure's steps; nothing of where they are kept. Below a sane number
nothing is said: no interval of a median below 6 times, no tenths below 20, no step pointed at below 5 jobs.
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypedDict

from benchtrail.domain.quantiles import LEAST_FOR_INTERVAL, LEAST_FOR_TENTHS, median_interval, quantile, share_at_least
from benchtrail.domain.step_trace import StepTrace

LEAST_JOBS = 5
LEFT_RUNNING = 4.0
"""Times above so many times the middle one are taken for a timer or page left open; common practice, no source."""
OTHER_THAN_SAID = 1.5
TROUBLES = ("stopped", "back", "skipped", "asked")
"""What may be the text's fault; a reading outside its limits is the machine's."""


class Times(TypedDict):
    """Minutes of `n` jobs; `low_min` to `high_min` holds the true middle with the chance `coverage`; None: too few to say.
    `aside`: how many were set aside: `untold` by the journal, `left_running`."""

    n: int
    median_min: float | None
    low_min: float | None
    high_min: float | None
    coverage: float | None
    q10_min: float | None
    q90_min: float | None
    aside: dict[str, int]


class StepStatistics(TypedDict):
    """One step: `jobs` came to it; in how many of them somebody stopped, went back, skipped, asked, or measured outside
    the limits there; `trouble`: in how many any of these but the last. `look`: why the step should be looked at; `too_few`: nothing is
    said of it yet."""

    step: str
    jobs: int
    times: Times
    stopped: int
    back: int
    skipped: int
    asked: int
    notes: int
    outside: int
    trouble: int
    too_few: bool
    look: list[str]


def step_statistics(steps: Sequence[Mapping[str, Any]], traces: Sequence[StepTrace]) -> list[StepStatistics]:
    """Statistics of each step, in the order of the steps; `steps` have `id` and `minutes` (the author's, may be None).

    A step is pointed at as `trouble` when, of at least 5 jobs, the share with any trouble lies above the procedure's
    average even at the lower end of its interval; as `slower` or `faster` when the whole interval of its median lies more
    than half as much again above, or below two thirds of, what the author wrote. Source: our own rule on intervals of
    domain/quantiles.py. Stops being true when few people did most of the jobs.
    """
    rows = [_step(step, traces) for step in steps]
    came = sum(row["jobs"] for row in rows)
    average = sum(row["trouble"] for row in rows) / came if came else 0.0
    for row, step in zip(rows, steps, strict=True):
        row["look"] = _look(row, average, step["minutes"])
    return rows


def _step(step: Mapping[str, Any], traces: Sequence[StepTrace]) -> StepStatistics:
    id = step["id"]
    came = [trace for trace in traces if id in trace["reached"] or id in trace["outside"]]
    counts = {name: sum(id in trace[name] for trace in came) for name in (*TROUBLES, "notes", "outside")}  # type: ignore[literal-required]
    trouble = sum(any(id in trace[name] for name in TROUBLES) for trace in came)  # type: ignore[literal-required]
    return {"step": id, "jobs": len(came), "times": times_of(came, id), "trouble": trouble, "too_few": len(came) < LEAST_JOBS,
            "look": [], **counts}  # type: ignore[typeddict-item]


def logs_of(traces: Sequence[StepTrace], step: str) -> tuple[list[float], int]:
    """Active minutes of the step, one of each job, and how many were set aside as left running."""
    minutes = [trace["minutes"][step] for trace in traces if step in trace["minutes"]]
    if len(minutes) < 3:
        return minutes, 0
    middle = quantile(minutes, 0.5)
    kept = [one for one in minutes if one <= LEFT_RUNNING * middle]
    return kept, len(minutes) - len(kept)


def times_of(traces: Sequence[StepTrace], step: str) -> Times:
    """Times of one step over jobs."""
    minutes, left_running = logs_of(traces, step)
    n = len(minutes)
    interval = median_interval(minutes)
    tenths = n >= LEAST_FOR_TENTHS
    untold = sum(step in trace["untold"] for trace in traces)
    aside = {why: count for why, count in (("untold", untold), ("left_running", left_running)) if count}
    return {
        "n": n, "median_min": quantile(minutes, 0.5) if n >= LEAST_FOR_INTERVAL else None,
        "low_min": interval.low if interval else None, "high_min": interval.high if interval else None,
        "coverage": interval.coverage if interval else None, "q10_min": quantile(minutes, 0.1) if tenths else None,
        "q90_min": quantile(minutes, 0.9) if tenths else None, "aside": aside}


def _look(row: StepStatistics, average: float, said_min: float | None) -> list[str]:
    found = []
    if not row["too_few"] and row["trouble"] and share_at_least(row["trouble"], row["jobs"]) > average:
        found.append("trouble")
    low, high = row["times"]["low_min"], row["times"]["high_min"]
    if said_min and low is not None and low > said_min * OTHER_THAN_SAID:
        found.append("slower")
    if said_min and high is not None and high < said_min / OTHER_THAN_SAID:
        found.append("faster")
    return found
