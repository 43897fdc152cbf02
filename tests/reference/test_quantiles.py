"""Quantiles and intervals against general libraries and published values."""

import random

import numpy as np
import pytest
from scipy import stats

from benchtrail.domain.quantiles import median_interval, quantile, share_at_least

CHANCE = random.Random(20261129)
SAMPLES = [[CHANCE.lognormvariate(1, 0.6) for _ in range(n)] for n in (1, 2, 5, 6, 7, 10, 19, 20, 33, 100, 257)]


@pytest.mark.source("library", "numpy.quantile")
@pytest.mark.parametrize("numbers", SAMPLES, ids=len)
def test_quantiles_are_those_of_numpy(numbers: list[float]) -> None:
    for share in (0, 0.1, 0.25, 0.5, 0.9, 1):
        assert quantile(numbers, share) == pytest.approx(float(np.quantile(numbers, share)), rel=1e-12)


@pytest.mark.source("library", "scipy.stats.binom")
@pytest.mark.parametrize("numbers", SAMPLES, ids=len)
def test_the_interval_of_the_median_covers_what_the_binomial_says(numbers: list[float]) -> None:
    made, n, ordered = median_interval(numbers), len(numbers), sorted(numbers)
    if made is None:
        assert 1 - 2 * stats.binom.cdf(0, n, 0.5) < 0.95
        return
    k = ordered.index(made.low) + 1
    assert made.high == ordered[n - k]
    assert made.coverage == pytest.approx(1 - 2 * stats.binom.cdf(k - 1, n, 0.5), rel=1e-12)
    assert made.coverage >= 0.95 > 1 - 2 * stats.binom.cdf(k, n, 0.5), "one step narrower would not hold"


@pytest.mark.source("memory", "tables of nonparametric intervals of the median (sign test)")
@pytest.mark.parametrize(("n", "k", "coverage"), [(6, 1, 0.9688), (10, 2, 0.9785), (20, 6, 0.9586), (30, 10, 0.9572)])
def test_places_of_the_interval_as_tabled(n: int, k: int, coverage: float) -> None:
    made = median_interval([float(one) for one in range(1, n + 1)])
    assert made is not None
    assert (made.low, made.high) == (k, n + 1 - k)
    assert made.coverage == pytest.approx(coverage, abs=5e-5)


@pytest.mark.source("arithmetic", "2/2^5 is above 0.05, 2/2^6 is not")
def test_below_six_nothing_is_said_of_the_median() -> None:
    assert median_interval([1, 2, 3, 4, 5]) is None
    assert median_interval([]) is None
    assert median_interval([1, 2, 3, 4, 5, 6]) is not None


@pytest.mark.source("arithmetic", "the coverage itself, 4000 samples of a log-normal")
def test_the_interval_holds_the_median_as_often_as_it_says() -> None:
    inside = 0
    for _ in range(4000):
        made = median_interval([CHANCE.lognormvariate(2, 0.5) for _ in range(9)])
        assert made is not None
        inside += made.low <= np.exp(2) <= made.high
    assert made is not None
    assert inside / 4000 == pytest.approx(made.coverage, abs=0.015)


@pytest.mark.source("library", "scipy.stats.binomtest, Wilson")
@pytest.mark.parametrize(("count", "of"), [(0, 5), (1, 5), (5, 5), (3, 40), (17, 20), (250, 1000)])
def test_shares_are_those_of_wilsons_interval(count: int, of: int) -> None:
    theirs = stats.binomtest(count, of).proportion_ci(0.95, method="wilson")
    assert share_at_least(count, of) == pytest.approx(theirs.low, abs=1e-12)
