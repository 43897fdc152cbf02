"""How long a procedure takes on one machine: the author's minutes of its steps, corrected by what its jobs took.

Knows steps, traces of jobs and the estimate of a step (domain/labour_time.py). A step for which nobody has stated a time and
too few jobs tell one is not guessed: it is counted as untimed and stands outside the sum.
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypedDict

from benchtrail.domain.guards import Variant, guard_holds
from benchtrail.domain.labour_time import ALPHA, BETA, WEIGHT, job_time, learned_weight, step_time
from benchtrail.domain.quantiles import LEAST_FOR_INTERVAL, quantile
from benchtrail.domain.refused import Refused
from benchtrail.domain.step_statistics import logs_of
from benchtrail.domain.step_trace import StepTrace

MOST_LOGS = 500
OWN_LOGS_WEIGHT = 0.1


class LabourEstimate(TypedDict):
    """Minutes of the whole job: one in ten is quicker than `q10_min`, half are quicker than `q50_min`, one in ten slower than
    `q90_min`; None when no step has a time. `author_min`: the sum of what the author wrote. `logs`: times of steps that it
    learned from, of `jobs` jobs; `mostly_author`: most steps have fewer logs than the author's word weighs. `learned`: the
    weight of the author's word was itself learned from the steps."""

    q10_min: float | None
    q50_min: float | None
    q90_min: float | None
    author_min: float
    timed: int
    untimed: int
    logs: int
    jobs: int
    mostly_author: bool
    learned: bool


def labour_estimate(steps: Sequence[Mapping[str, Any]], variant: Variant | None, traces: Sequence[StepTrace]) -> LabourEstimate:
    """The estimate for one variant (None: only steps that every machine has).

    Rule: each step by `step_time` from the author's minutes and its logs; without the author's minutes from at least 6 logs,
    whose middle then stands for the author's word with the weight 0.1; the sum by `job_time`. The weight is learned as soon
    as 30 steps have 3 logs each. Source: our own, on shared/vectors/labour_time. Stops being true for other people, and as
    `step_time` and `job_time`: waits are not counted, and people differ.
    """
    mine = [step for step in steps if _applies(step, variant)]
    logs = {step["id"]: logs_of(traces, step["id"])[0][-MOST_LOGS:] for step in mine}
    weight, beta, learned = _weight(mine, logs)
    rows, enough, used = [], 0, 0
    for step in mine:
        own = logs[step["id"]]
        first = step["minutes"] or (quantile(own, 0.5) if len(own) >= LEAST_FOR_INTERVAL else None)
        if not first:
            continue
        answer = step_time(estimate_min=first, logs_min=own, weight=weight if step["minutes"] else OWN_LOGS_WEIGHT, alpha=ALPHA, beta=beta)
        rows.append({"median_min": answer.values["q50_min"], "sigma": min(float(answer.values["sigma"]), 3.0)})  # type: ignore[arg-type]
        used += len(own)
        enough += len(own) >= max(weight, 1)
    whole = job_time(steps=rows).values if rows else {"q10_min": None, "q50_min": None, "q90_min": None}
    low, middle, high = (whole[name] for name in ("q10_min", "q50_min", "q90_min"))
    return {"q10_min": low, "q50_min": middle, "q90_min": high,  # type: ignore[typeddict-item]
            "author_min": float(sum(step["minutes"] or 0 for step in mine)), "timed": len(rows), "untimed": len(mine) - len(rows),
            "logs": used, "jobs": len(traces), "mostly_author": 2 * enough <= len(rows), "learned": learned}


def _applies(step: Mapping[str, Any], variant: Variant | None) -> bool:
    if step["when"] is None:
        return True
    return variant is not None and guard_holds(step["when"], variant)


def _weight(steps: Sequence[Mapping[str, Any]], logs: Mapping[str, list[float]]) -> tuple[float, float, bool]:
    """Weight of the author's word and prior spread, and whether they were learned."""
    told = [{"estimate_min": step["minutes"], "logs_min": logs[step["id"]]} for step in steps if step["minutes"]]
    try:
        learned = learned_weight(steps=told).values
    except Refused:
        return WEIGHT, BETA, False
    return float(learned["weight"]), float(learned["beta"]), True  # type: ignore[arg-type]
