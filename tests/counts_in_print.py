"""Counts of insects that stand in print, as the tests of the statistics use them."""

from bot.statistics import counts_from_frequencies

MITES = counts_from_frequencies([70, 38, 17, 10, 9, 3, 2, 1])
"""European red mites on 150 apple leaves: Bliss & Fisher 1953, Biometrics 9:176-200, table 1."""

WEBWORMS = counts_from_frequencies([117, 87, 50, 38, 21, 7, 2, 2, 0, 1])
"""Beet webworms on the 325 plots of treatment 1: Beall 1940, as in the open data set `beall.webworms`."""

WEBWORMS_2 = counts_from_frequencies([205, 84, 30, 4, 2])
WEBWORMS_3 = counts_from_frequencies([162, 88, 45, 23, 5, 2])
WEBWORMS_4 = counts_from_frequencies([227, 70, 21, 6, 1])
"""Beet webworms on the 325 plots of each of treatments 2, 3 and 4.

These frequencies were not read: they are the only ones of 325 counts up to 8 that have the mean, the variance and
the likeliest k of their treatment to the four decimals of section 4 of the design's statistics (547, 63,500 and 288
have the mean and the variance). The error of k stands there too and was not used, so it speaks for them.
"""

TEN_WEBWORMS = (1, 0, 1, 3, 6, 6, 1, 1, 2, 3)
"""The first ten plots of block 1 with treatment 1 in the same data set."""
