"""Counts drawn by chance, always the same for a seed with one version of numpy."""

import math
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from bot.rehearsal.values import Spread

Counts = NDArray[np.int64]
Means = NDArray[np.float64]


def source_for(seed: int, stream: int, times: Fraction, chunk: int) -> np.random.Generator:
    """Give the source of one stretch of work: what it draws turns on nothing but these numbers."""
    return np.random.default_rng([seed, stream, times.numerator, times.denominator, chunk])


def draw_field_sites(source: np.random.Generator, spread: Spread, fields: int, sites: int) -> Means:
    """Draw how rich each site is beside its field's mean, mean 1: an array of fields by sites.

    The one site of a field is its field.
    """
    if sites == 1 or math.isinf(spread.k_sites):
        return np.ones((fields, sites))
    return source.gamma(spread.k_sites, 1 / spread.k_sites, (fields, sites))


def draw_counts(source: np.random.Generator, spread: Spread, means: Means, samples: int) -> Counts:
    """Draw the counts of each site's samples, in the order in which they are taken: fields by sites by samples.

    A negative binomial is a Poisson whose mean a gamma spreads: variance m + m²/k.
    """
    each = np.repeat(means[:, :, np.newaxis], samples, axis=2)
    if not math.isinf(spread.k):
        each = each * source.gamma(spread.k, 1 / spread.k, each.shape)
    return source.poisson(each)
