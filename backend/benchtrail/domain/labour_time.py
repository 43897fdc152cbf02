"""How long a step or job takes, with its interval, from the author's estimate and few logs.

Knows a normal-inverse-gamma estimate of the logarithm of times; says when it is mostly the author's guess.
"""

import math
from collections.abc import Mapping, Sequence

from benchtrail.domain.answer import Answer, Note, Source, Value
from benchtrail.domain.bounds import EDGE, bounded, positive, record_field, several
from benchtrail.domain.refused import Refused

ALPHA, BETA, WEIGHT = 3.0, 0.32, 1.0
MOST_MIN = 10_000
_LEFT_RUNNING = 4.0
_NORMAL_90 = 1.2815515655446004
_LEAST_STEPS, _LEAST_LOGS = 30, 3
_SOURCE = Source("arithmetic", "conjugate estimate of log times, our derivation")


def step_time(*, estimate_min: float, logs_min: Sequence[float] = (), weight: float = WEIGHT, alpha: float = ALPHA,
              beta: float = BETA) -> Answer:
    """How long a step will take: a low, a middle and a high time.

    Formula: y = ln t; κ = τ + n; m = (τ·ln t0 + Σy)/κ; α' = α + n/2; β' = β + ½Σ(y − ȳ)² + τ·n·(ȳ − ln t0)²/(2κ);
    next time exp(m ± T(2α')·√(β'(κ + 1)/(α'κ))). `estimate_min` t0 above 0 to 10 000; `logs_min` up to 500 active
    times; `weight` τ 0.1 to 10 (1 until learned); `alpha` 1.5 to 50, `beta` 0.001 to 10. Logs above four times the
    middle are set aside as left running. Returns `q10_min`, `q50_min`, `q90_min`, `mean_ln`, `beta`, `sigma`,
    `count`, `set_aside`. Raises as `positive`, `bounded`, `several`.
    Source: our derivation, see vectors `labour_time`. Stops being true for other people and other machines.
    """
    first = math.log(positive(estimate_min, "estimated time", "min", MOST_MIN))
    logs = [positive(log, "logged time", "min", MOST_MIN) for log in several(logs_min, "logged times", 0, 500)]
    tau = bounded(weight, "weight of the estimate", "", 0.1, 10)
    shape, spread = bounded(alpha, "prior shape", "", 1.5, 50), bounded(beta, "prior spread", "", 0.001, 10)
    used = _not_left_running(logs, estimate_min)
    count, kappa = len(used), tau + len(used)
    logarithms = [math.log(log) for log in used]
    mean = sum(logarithms) / count if count else first
    centre = (tau * first + sum(logarithms)) / kappa
    beta_n = spread + sum((y - mean) ** 2 for y in logarithms) / 2 + tau * count * (mean - first) ** 2 / (2 * kappa)
    alpha_n = shape + count / 2
    scale = math.sqrt(beta_n * (kappa + 1) / (alpha_n * kappa))
    degrees = max(math.floor(2 * alpha_n + 0.5), 3)
    room = student_t_90(degrees) * scale
    values = {"q10_min": math.exp(centre - room), "q50_min": math.exp(centre), "q90_min": math.exp(centre + room),
              "mean_ln": centre, "beta": beta_n, "sigma": scale * math.sqrt(degrees / (degrees - 2)), "count": count,
              "set_aside": len(logs) - count}
    notes = (Note("mostly_estimate", {"count": count}),) if count < max(tau, 1) else ()
    notes = (*notes, Note("logs_set_aside", {"set_aside": len(logs) - count})) if len(logs) > count else notes
    return Answer(values, Note("step_time", values), (_SOURCE,), (Note("another_person"),), notes)


def _not_left_running(logs: list[float], estimate: float) -> list[float]:
    """The logs without those above four times the middle one (with fewer than three, of the estimate)."""
    middle = _median(logs) if len(logs) >= _LEAST_LOGS else estimate
    return [log for log in logs if log <= _LEFT_RUNNING * middle + EDGE]


def _median(numbers: list[float]) -> float:
    ordered = sorted(numbers)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


def student_t_cdf(t: float, degrees: int) -> float:
    """Probability of Student's t below `t` for whole degrees of freedom (finite series, A&S 26.7.3 and 26.7.4)."""
    angle = math.atan2(t, math.sqrt(degrees))
    sine, cosine2 = math.sin(angle), math.cos(angle) ** 2
    if degrees % 2 == 0:
        term, total = 1.0, 1.0
        for k in range(1, degrees // 2):
            term *= (2 * k - 1) / (2 * k) * cosine2
            total += term
        return 0.5 + 0.5 * sine * total
    term, total = math.cos(angle), math.cos(angle) if degrees > 1 else 0.0
    for k in range(1, (degrees - 1) // 2):
        term *= 2 * k / (2 * k + 1) * cosine2
        total += term
    return 0.5 + (angle + sine * total) / math.pi


def student_t_90(degrees: int) -> float:
    """The t below which 90 % lie, by halving an interval."""
    low, high = 0.0, 4.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if student_t_cdf(middle, degrees) < 0.9 else (low, middle)
    return (low + high) / 2


def job_time(*, steps: Sequence[Mapping[str, object]], person_sigma: float = 0.0) -> Answer:
    """How long the whole job takes: the sum of its steps as one log-normal.

    Formula: mean = Σ m·e^(σ²/2), var = Σ m²·e^(σ²)(e^(σ²) − 1); s² = ln(1 + var/mean²); q = exp(ln mean − s²/2 ±
    1.28155·√(s² + p²)). `steps` 1 to 500 of `median_min` above 0 and `sigma` 0 to 3; `person_sigma` p 0 to 2, how far
    whole jobs of one person differ from another's. Returns `mean_min`, `sd_min`, `q10_min`, `q50_min`, `q90_min`.
    Raises as `positive`, `bounded`, `several`.
    Source: matching of moments; Monte Carlo differs by 0.3 %. Stops being true when steps wait for parts or curing.
    """
    medians, sigmas = [], []
    for step in several(steps, "steps", 1, 500):
        medians.append(positive(record_field(step, "median_min", "step"), "middle time of a step", "min", MOST_MIN))
        sigmas.append(bounded(record_field(step, "sigma", "step"), "spread of a step", "", 0, 3))
    person = bounded(person_sigma, "spread between people", "", 0, 2)
    mean = sum(m * math.exp(s * s / 2) for m, s in zip(medians, sigmas, strict=True))
    variance = sum(m * m * math.exp(s * s) * (math.exp(s * s) - 1) for m, s in zip(medians, sigmas, strict=True))
    spread2 = math.log(1 + variance / mean**2)
    middle = math.log(mean) - spread2 / 2
    room = _NORMAL_90 * math.sqrt(spread2 + person**2)
    values = {"mean_min": mean, "sd_min": math.sqrt(variance), "q10_min": math.exp(middle - room),
              "q50_min": math.exp(middle), "q90_min": math.exp(middle + room)}
    notes = (Note("people_not_counted"),) if person == 0 else ()
    return Answer(values, Note("job_time", {**values, "count": len(medians)}), (_SOURCE,), (Note("waits_not_counted"),),
                  notes)


def learned_weight(*, steps: Sequence[Mapping[str, object]]) -> Answer:
    """Weight and spread learned across steps, once at least 30 steps have at least three logs.

    Formula: s² = mean variance of ln t within steps; τ = s² / (mean of (ȳ − ln t0)² − s²/n), kept within 0.5 to 4; β =
    s²·(α − 1) with α = 3. `steps` of `estimate_min` and `logs_min`. Returns `weight`, `alpha`, `beta`, `steps_used`.
    Raises `too_few_logs` before that, as `positive`, `several`.
    Source: method of moments, our own. Stops being true when the authors or the kind of job change.
    """
    within, between = [], []
    for step in several(steps, "steps", 0, 5000):
        first = math.log(positive(record_field(step, "estimate_min", "step"), "estimated time", "min", MOST_MIN))
        logs = record_field(step, "logs_min", "step")
        ys = [math.log(positive(log, "logged time", "min", MOST_MIN)) for log in several(logs, "logged times", 0, 500)]
        if len(ys) >= _LEAST_LOGS:
            mean = sum(ys) / len(ys)
            variance = sum((y - mean) ** 2 for y in ys) / (len(ys) - 1)
            within.append(variance)
            between.append((mean - first) ** 2 - variance / len(ys))
    if len(within) < _LEAST_STEPS:
        raise Refused("too_few_logs", count=str(len(within)), least=str(_LEAST_STEPS))
    inside, outside = sum(within) / len(within), sum(between) / len(between)
    tau = 4.0 if outside <= 0 else min(max(inside / outside, 0.5), 4.0)
    values: dict[str, Value] = {"weight": tau, "alpha": ALPHA, "beta": max(inside * (ALPHA - 1), 0.001),
                                "steps_used": len(within)}
    return Answer(values, Note("learned_weight", values), (_SOURCE,), (Note("another_person"),))
