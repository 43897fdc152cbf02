"""What few numbers say and do not say: quantiles, an interval of the median that asks nothing of the distribution, and an
interval of a share. Knows lists of numbers; nothing of steps or jobs."""

import math
from collections.abc import Sequence
from typing import NamedTuple

LEAST_FOR_INTERVAL = 6
LEAST_FOR_TENTHS = 20
_WILSON_Z = 1.959963984540054


class Interval(NamedTuple):
    """From the lower to the upper end, with the chance that such an interval holds the true median."""

    low: float
    high: float
    coverage: float


def quantile(numbers: Sequence[float], share: float) -> float:
    """The value below which `share` (0 to 1) of the numbers lie, straight between two of them.

    Formula: with the numbers in order and h = share·(n − 1): x[⌊h⌋] + (h − ⌊h⌋)·(x[⌊h⌋ + 1] − x[⌊h⌋]). At least one
    number. Source: Hyndman and Fan 1996, The American Statistician 50(4), definition 7 (from memory).
    """
    ordered = sorted(numbers)
    place = share * (len(ordered) - 1)
    below = math.floor(place)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (place - below) * (ordered[above] - ordered[below])


def median_interval(numbers: Sequence[float], least: float = 0.95) -> Interval | None:
    """An interval of the median from the numbers' own order, that holds it with a chance of at least `least`.

    Formula: between the k-th smallest and the k-th largest, coverage 1 − 2·P(B ≤ k − 1) with B binomial (n, 1/2); the
    greatest k for which that is at least `least`. None when even the smallest and the largest do not reach it (n below 6
    at 0.95): then nothing can be said. Source: sign test inverted; David and Nagaraja, Order Statistics, 3rd edition 2003,
    section 7.1 (from memory). Stops being true when the numbers depend on each other, as of one person again and again.
    """
    n, ordered = len(numbers), sorted(numbers)
    below, k, coverage = 0.0, 0, 0.0
    for tried in range(1, n // 2 + 1):
        below += math.comb(n, tried - 1) / 2**n
        if 1 - 2 * below < least:
            break
        k, coverage = tried, 1 - 2 * below
    return Interval(ordered[k - 1], ordered[n - k], coverage) if k else None


def share_at_least(count: int, of: int) -> float:
    """A share that the true one is above with a chance of about 97.5 %: the lower end of Wilson's interval.

    Formula: (p + z²/2n − z·√(p(1 − p)/n + z²/4n²)) / (1 + z²/n), z = 1.96. `of` at least 1, `count` 0 to `of`.
    Source: Wilson 1927; NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1 (from memory).
    """
    p, z2 = count / of, _WILSON_Z**2
    room = _WILSON_Z * math.sqrt(p * (1 - p) / of + z2 / (4 * of**2))
    return max(0.0, (p + z2 / (2 * of) - room) / (1 + z2 / of))
