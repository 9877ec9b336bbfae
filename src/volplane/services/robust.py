"""What a handful of lessons can tell: medians, the middle half, and a trend that one odd landing does not turn."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

# under so many nothing is said of a middle or a trend: five is the least from which a median has a 90 % interval
FEWEST = 5
# two-sided 90 % of the normal distribution
_Z_90 = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Middle:
    """The median of some values with its 90 % interval, and the quartiles; in the unit of the values."""

    count: int
    median: float
    median_low: float
    median_high: float
    quartile_low: float
    quartile_high: float


@dataclass(frozen=True, slots=True)
class Trend:
    """By how much values change from one to the next, with the 90 % interval; in the unit of the values."""

    count: int
    slope: float
    slope_low: float
    slope_high: float

    @property
    def is_falling(self) -> bool:
        """Whether the whole interval lies below nought."""
        return self.slope_high < 0.0


def middle_of(values: Sequence[float]) -> Middle | None:
    """The middle of at least five values, None of fewer.

    The interval of the median lies between two of the ordered values, from the binomial distribution of how many lie
    below it; no shape of their distribution is assumed. Source: NIST/SEMATECH, Engineering Statistics Handbook,
    section 7.2 on distribution-free intervals (from memory). Quartiles are interpolated between the ordered values.
    """
    count = len(values)
    if count < FEWEST:
        return None
    ordered = sorted(values)
    rank = _rank_of_median_interval(count)
    low, _, high = statistics.quantiles(ordered, n=4, method="inclusive")
    return Middle(count, statistics.median(ordered), ordered[rank - 1], ordered[count - rank], low, high)


def _rank_of_median_interval(count: int) -> int:
    """The highest rank r for which the r-th smallest and the r-th largest hold the median in 90 % of all samples."""
    rank, below = 0, 0.0
    while below + math.comb(count, rank) * 0.5**count <= 0.05:
        below += math.comb(count, rank) * 0.5**count
        rank += 1
    return max(rank, 1)


def trend_of(values: Sequence[float]) -> Trend | None:
    """The change from one value to the next over at least five values in their order, None of fewer.

    The median of the slopes of all pairs, with the interval that follows from Kendall's rank statistic.
    Source: P. K. Sen, Estimates of the Regression Coefficient Based on Kendall's Tau, Journal of the American
    Statistical Association 63 (1968), pages 1379 to 1389. Ties among values are left out of the interval's width,
    which makes it a little wider.
    """
    count = len(values)
    if count < FEWEST:
        return None
    slopes = sorted((values[j] - values[i]) / (j - i) for i in range(count) for j in range(i + 1, count))
    width = _Z_90 * math.sqrt(count * (count - 1) * (2 * count + 5) / 18.0)
    # Gilbert, Statistical Methods for Environmental Pollution Monitoring (1987), section 16.5 (from memory): the
    # M1-th smallest and the (M2 + 1)-th, rounded outward
    low = max(math.floor((len(slopes) - width) / 2.0) - 1, 0)
    high = min(math.ceil((len(slopes) + width) / 2.0), len(slopes) - 1)
    return Trend(count, statistics.median(slopes), slopes[low], slopes[high])
