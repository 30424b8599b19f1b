"""Counts of insects that stand in print, as the tests of the statistics use them."""

from bot.statistics import counts_from_frequencies

MITES = counts_from_frequencies([70, 38, 17, 10, 9, 3, 2, 1])
"""European red mites on 150 apple leaves: Bliss & Fisher 1953, Biometrics 9:176-200, table 1."""

WEBWORMS = counts_from_frequencies([117, 87, 50, 38, 21, 7, 2, 2, 0, 1])
"""Beet webworms on the 325 plots of treatment 1: Beall 1940, as in the open data set `beall.webworms`."""

TEN_WEBWORMS = (1, 0, 1, 3, 6, 6, 1, 1, 2, 3)
"""The first ten plots of block 1 with treatment 1 in the same data set."""
