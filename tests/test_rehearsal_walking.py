"""Fields walked sample by sample: what the sums propose, the rules decide."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from bot.rehearsal import Rehearsal, Spread, Walked, Walker, Way, draw_counts, draw_field_sites
from bot.rules import Standing
from tests.rehearsed import FIVE_FEET, LEVEL, RANGE, plan, rehearsal, sequential
from tests.studies.rehearsal import walked_plainly

FIELDS = 40
Counts = NDArray[np.int64]


def drawn(of: Rehearsal, times: str, seed: int = 3) -> Counts:
    source = np.random.default_rng(seed)
    sites = draw_field_sites(source, of.spread, FIELDS, of.sites)
    return draw_counts(source, of.spread, sites * of.mean_at(Fraction(times)), of.most)


@pytest.mark.parametrize("times", ["0.5", "1", "1.5", "3"])
@pytest.mark.parametrize(
    "of",
    [
        rehearsal(),
        rehearsal(sites=1, k_sites=float("inf")),
        rehearsal(level=RANGE, stopped=sequential(15)),
        rehearsal(sites=2, walked=plan(4), stopped=sequential(4, at_least=1)),
    ],
    ids=["three sites", "one site", "a range", "few samples"],
)
def test_a_walk_ends_where_asking_after_every_sample_would_end_it(of: Rehearsal, times: str) -> None:
    for counts in drawn(of, times):
        for way in (Way.CERTAIN, Way.SEQUENTIAL):
            asked = counts[:, : of.plans[way].samples]
            assert Walker(of, way).walk(counts) == walked_plainly(of, way, asked)


@pytest.mark.parametrize("proposal", [1, 10**6])
def test_a_wrong_proposal_is_put_right_by_the_rules(proposal: int) -> None:
    of = rehearsal()
    for way in (Way.CERTAIN, Way.SEQUENTIAL):
        misled, walker = Walker(of, way), Walker(of, way)
        misled.certain_at = proposal
        misled.low_at_most = np.full(10, -1)
        for counts in drawn(of, "2"):
            assert misled.walk(counts) == walker.walk(counts)


@pytest.mark.parametrize("way", list(Way))
def test_samples_one_by_one_are_judged_as_their_sums_are(way: Way) -> None:
    of = rehearsal()
    single = rehearsal(sample_by_sample=True)
    for counts in drawn(of, "1.25"):
        assert Walker(single, way).walk(counts) == Walker(of, way).walk(counts)


def test_counting_ends_with_the_sample_that_makes_a_field_certain() -> None:
    # Four samples of 5 row ft: 3 per 5 row ft over all four is a sum of 12.
    of = rehearsal(sites=1, walked=plan(4, each=FIVE_FEET), k_sites=float("inf"))
    walker = Walker(of, Way.CERTAIN)
    assert walker.walk(np.array([[5, 7, 0, 0]])) == Walked(Standing.ABOVE, 2, 2)
    assert walker.walk(np.array([[5, 6, 0, 1]])) == Walked(Standing.ABOVE, 4, 4)
    assert walker.walk(np.array([[5, 6, 0, 0]])) == Walked(Standing.BELOW, 4, None)


def test_a_field_is_certain_by_the_sum_over_its_sites() -> None:
    of = rehearsal(sites=2, walked=plan(4, each=FIVE_FEET))
    walker = Walker(of, Way.CERTAIN)
    # Twice 12 is needed; the second site adds the last one with its second sample.
    assert walker.walk(np.array([[6, 6, 6, 5], [0, 1, 0, 0]])) == Walked(Standing.ABOVE, 6, 6)


def test_each_site_stops_for_itself() -> None:
    # The lines are 1.6913 n - 7.6377 and 1.6913 n + 7.6377: nothing found is low after 5, tens are high after 4.
    walker = Walker(rehearsal(), Way.SEQUENTIAL)
    none, tens = [0] * 10, [10] * 10
    assert [walker.samples_of(np.array(row)) for row in (none, tens)] == [5, 4]
    assert walker.walk(np.array([none, none, none])) == Walked(Standing.BELOW, 15, None)
    # Sums of 40 and 0 and 0: densities 16.7, 0 and 0, of mean 5.6, when the last site has stopped.
    assert walker.walk(np.array([tens, none, none])) == Walked(Standing.ABOVE, 14, 14)


def test_a_site_that_meets_no_line_goes_on_to_the_most() -> None:
    assert Walker(rehearsal(), Way.SEQUENTIAL).samples_of(np.array([2, 1, 2, 2] * 3)[:10]) == 10


def test_a_density_between_a_line_and_the_level_does_not_stop() -> None:
    # A level of 30 per 5 row ft: the high line is met at once, the density stands under the level.
    high = replace(LEVEL, low=Fraction(30), high=Fraction(30))
    assert Walker(rehearsal(level=high), Way.SEQUENTIAL).samples_of(np.array([5] * 10)) == 10


def test_all_that_is_found_is_weighed_as_the_level_weighs_its_column() -> None:
    double = replace(LEVEL, count={"adult": Fraction(1), "nymph": Fraction(2)})
    assert rehearsal(level=double).mean_at(Fraction(1)) == pytest.approx(0.9)
    assert rehearsal().mean_at(Fraction(1)) == pytest.approx(1.8)
    walker = Walker(rehearsal(sites=1, level=double, walked=plan(2, each=FIVE_FEET)), Way.FIXED)
    assert walker.walk(np.array([[2, 1]])).told is Standing.ABOVE
    assert walker.walk(np.array([[1, 1]])).told is Standing.BELOW


def test_counts_have_the_mean_and_the_spread_that_are_asked_for() -> None:
    # Negative binomial within: variance m + m²/k. Gamma site means: variance m²/k. Poisson: variance m.
    source = np.random.default_rng(11)
    alike = draw_counts(source, Spread(1.2, float("inf")), np.full((4000, 3), 2.0), 10)
    assert alike.shape == (4000, 3, 10)
    assert alike.mean() == pytest.approx(2.0, abs=0.03)
    assert alike.var() == pytest.approx(2 + 4 / 1.2, rel=0.03)
    plain = draw_counts(source, Spread(float("inf"), 4), np.full((4000, 3), 2.0), 10)
    assert plain.var() == pytest.approx(2.0, rel=0.03)
    sites = draw_field_sites(source, Spread(1, 4), 40_000, 3)
    assert (sites.mean(), sites.var()) == pytest.approx((1.0, 0.25), abs=0.01)


def test_the_one_site_of_a_field_is_its_field() -> None:
    assert (draw_field_sites(np.random.default_rng(1), Spread(1, 4), 5, 1) == 1).all()
