"""What this room refuses to work out, each as a plain sentence; it never gives a NaN instead.

StatisticsError
├── OutOfRange      a figure lies where it means nothing: low not under high, k not over 0, …
├── TooFewSamples   a spread of one sample, a field of no sites
├── NoClumping      counts less spread than Poisson's: they have no k
├── AllZeros        nothing was counted, and what is asked needs a count
├── NoEffort        nothing was looked at
└── TooLong         an exact figure that would take too many steps
"""
# ruff: noqa: N818  the leaves are named for what is wrong; their parent says Error


class StatisticsError(Exception):
    """What was asked has no honest answer; the sentence says why."""


class OutOfRange(StatisticsError):
    """A figure that was handed in lies where it means nothing."""


class TooFewSamples(StatisticsError):
    """There are fewer samples than the figure needs."""


class NoClumping(StatisticsError):
    """The counts are less spread than Poisson counts, so they have no k."""


class AllZeros(StatisticsError):
    """Every count is zero, and the figure needs one that is not."""


class NoEffort(StatisticsError):
    """No effort was made, so there is no density."""


class TooLong(StatisticsError):
    """An exact figure would take more steps than anybody waits for."""
