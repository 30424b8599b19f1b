"""Means and ratios of figures that each have an interval of their own, with ends recovered from theirs (MOVER).

Each part stands for itself: it was counted apart from the others. The ends are those at which the difference
between the two sides of the ratio, its own ends recovered from those of the parts, is 0: method of variance
estimates recovery, Zou & Donner 2008, Stat. Med. 27:1693-1702; of a ratio Donner & Zou 2012, Stat. Methods Med.
Res. 21:347-359 (both from memory; the roots are worked out here). It takes intervals that are not alike on both
sides as they are, those of nothing found (0 to an end) too.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bot.statistics.errors import OutOfRange, TooFewSamples


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure of 0 or more with the two ends of its interval; no upper end is infinite."""

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        """Raise OutOfRange where the ends do not hold the figure, or it is under 0 or has no end itself."""
        if not 0 <= self.low <= self.value <= self.high or not math.isfinite(self.value):
            raise OutOfRange(f"{self.value:g} does not lie in {self.low:g} to {self.high:g}, 0 or more.")


def mean_of(parts: Sequence[Estimate]) -> Estimate:
    """Give the mean of figures that weigh alike, as of the same sites of a field each time.

    Its interval holds how far the parts may be off, not how they differ: it is of these parts and no others.
    Raises TooFewSamples for none.
    """
    if not parts:
        raise TooFewSamples("A mean is of at least 1 part, and there are 0.")
    n = len(parts)
    value = math.fsum(part.value for part in parts) / n
    down = math.hypot(*(part.value - part.low for part in parts)) / n
    up = math.hypot(*(part.high - part.value for part in parts)) / n
    return Estimate(value, max(value - down, 0.0), value + up)


def ratio_of(top: Estimate, bottom: Estimate) -> Estimate:
    """Give the ratio of two figures. Raises OutOfRange where the lower one is 0: there is no ratio then."""
    if not bottom.value:
        raise OutOfRange("Nothing can be set against 0.")
    value = top.value / bottom.value
    if not math.isfinite(value):
        raise OutOfRange("These figures lie too far apart to be compared.")
    # (top - r * bottom)² = (how far top may be off)² + r² * (how far bottom may be off)², in units of the two
    # figures; written so that nothing cancels: middle² - curve * rest may not be under 0
    scale = top.value or top.high
    if not scale or scale == math.inf:
        return Estimate(0.0, 0.0, scale)
    size = scale / bottom.value
    middle = top.value / scale
    low = _lower_root(middle, _off(bottom.value, bottom.high, bottom.value), _off(top.value, top.low, scale))
    high = _upper_root(middle, _off(bottom.value, bottom.low, bottom.value), _off(top.value, top.high, scale))
    return Estimate(value, min(low * size, value), max(high * size, value))


def _off(value: float, end: float, scale: float) -> float:
    """Give value² - (value - end)² over scale²: what the figure's square keeps once its error is taken off."""
    return end / scale * (2 * value - end) / scale


def _lower_root(middle: float, curve: float, rest: float) -> float:
    if not rest or curve == -math.inf:
        return 0.0
    return rest / (middle + math.sqrt(max(middle**2 - curve * rest, 0.0)))


def _upper_root(middle: float, curve: float, rest: float) -> float:
    if not curve or rest == -math.inf:
        return math.inf
    return (middle + math.sqrt(max(middle**2 - curve * rest, 0.0))) / curve
