"""A field from its sites: the mean and its error where samples stand in sites and sites in a field.

Samples of one site are alike, so the error of a field comes from how its sites differ. Pooling all samples
as if they stood alone makes it too small (0.73 and 0.59 of the right one in the two examples of the tests).
Source: Cochran, Sampling Techniques, chapter 10 (two-stage sampling, equal sizes).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from bot.statistics.errors import OutOfRange, TooFewSamples

MOST_VALUE = 1e100
"""No unit makes a field's density larger; the squares of larger values would have no end."""


@dataclass(frozen=True, slots=True)
class FieldMean:
    """The mean of a field's sites with its standard error, and what the error is made of.

    - `between_ms`, `within_ms`: the mean squares of the analysis of variance, between sites and within them;
    - `between_component`, `within_component`: how much sites differ beyond their samples, as a variance
      (0 where they differ less than their samples would make them), and how much samples of a site do;
    - `naive_se`: the error that pooling all samples would claim; for comparison only.

    None where the samples do not tell it: between sites for one site; all four for sites of unequal sizes
    or of one sample.
    """

    mean: float
    se: float
    between_ms: float | None
    within_ms: float | None
    between_component: float | None
    within_component: float | None
    naive_se: float


def field_mean(
    sites: Sequence[Sequence[float]], *, sites_in_all: int | None = None, samples_in_all: int | None = None
) -> FieldMean:
    """Give the mean of a field from the values of the samples of each of its sites, each site weighing the same.

    `sites_in_all` is how many sites the field could have had, `samples_in_all` how many samples a site; without
    them there are many more of both, and the error is the larger. They count only where sites have the same
    number of samples, two or more: otherwise the error is the one between sites alone. A single site has the
    error within it.

    Raises TooFewSamples for no site, a site of no sample and a single site of one; OutOfRange for a value that
    is under 0 or over MOST_VALUE and for more sites or samples seen than there are in all.
    """
    _look_at(sites, sites_in_all, samples_in_all)
    means = [math.fsum(site) / len(site) for site in sites]
    every = [value for site in sites for value in site]
    mean = math.fsum(means) / len(means)
    naive_se = math.sqrt(_variance(every) / len(every))
    n, m = len(sites), len(sites[0])
    if m == 1 or any(len(site) != m for site in sites):
        se = math.sqrt(_variance(means) / n)
        return FieldMean(mean, se, None, None, None, None, naive_se)
    within = math.fsum(_variance(site) for site in sites) / n
    samples_seen = m / samples_in_all if samples_in_all else 0.0
    if n == 1:
        se = math.sqrt((1 - samples_seen) * within / m)
        return FieldMean(mean, se, None, within, None, within, naive_se)
    sites_seen = n / sites_in_all if sites_in_all else 0.0
    between = _variance(means)
    se = math.sqrt((1 - sites_seen) * between / n + sites_seen * (1 - samples_seen) * within / (n * m))
    beyond = max(0.0, between - within / m)
    return FieldMean(mean, se, m * between, within, beyond, within, naive_se)


def _variance(values: Sequence[float]) -> float:
    middle = math.fsum(values) / len(values)
    return math.fsum((value - middle) ** 2 for value in values) / (len(values) - 1)


def _look_at(sites: Sequence[Sequence[float]], sites_in_all: int | None, samples_in_all: int | None) -> None:
    if not sites or not all(sites):
        raise TooFewSamples("A field has at least one site, and each site at least one sample.")
    if len(sites) == 1 and len(sites[0]) == 1:
        raise TooFewSamples("One sample of one site has no error; at least 2 samples are needed.")
    for value in (value for site in sites for value in site):
        if not 0 <= value < math.inf:
            raise OutOfRange(f"A value of a sample is 0 or more; {value:g} is not.")
        if value > MOST_VALUE:
            raise OutOfRange(f"A value of {value:g} is over {MOST_VALUE:g}, the most in one sample.")
    if sites_in_all is not None and sites_in_all < len(sites):
        raise OutOfRange(f"{len(sites)} sites were seen, so the field has no fewer; {sites_in_all} was said.")
    most = max(len(site) for site in sites)
    if samples_in_all is not None and samples_in_all < most:
        raise OutOfRange(f"{most} samples were seen, so a site has no fewer; {samples_in_all} was said.")
