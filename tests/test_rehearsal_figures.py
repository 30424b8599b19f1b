"""What rehearsals find, held against figures that can be worked out exactly."""

import math
from fractions import Fraction

import pytest
from scipy.stats import nbinom

from bot.rehearsal import Figures, Growth, Way, run
from bot.rules import Effort, Unit
from tests.rehearsed import plan, rehearsal, sequential, wanted

FIELDS = 1000
INF = float("inf")


def near(part: float, of: int = FIELDS) -> float:
    """Give four standard errors of a part seen in so many fields."""
    return 4 * math.sqrt(max(part * (1 - part), 1 / of) / of)


def chance_of_sum_under(mark: int, mean: float, samples: int, k: float = 1.2) -> float:
    """Give the chance that n counts sum to less than a mark: a negative binomial of k n, by scipy."""
    shape = samples * k
    return float(nbinom.cdf(mark - 1, shape, shape / (shape + samples * mean)))


@pytest.fixture(scope="module")
def one_site() -> Figures:
    """One site of ten samples, of which nothing is spread but the counts, at three densities."""
    of = rehearsal(1, k_sites=INF)
    return run(of, wanted("0.67", "1", "1.5", rounds=FIELDS), ways=[Way.FIXED, Way.CERTAIN])


def test_a_fixed_plan_is_as_often_wrong_as_the_sum_of_its_counts_is(one_site: Figures) -> None:
    # 3 per 5 row ft over ten samples of 3 row ft is a sum of 18.
    for one in one_site.at:
        under = chance_of_sum_under(18, 1.8 * float(one.times), 10)
        assert one.ways[Way.FIXED].share_above == pytest.approx(1 - under, abs=near(under))
        assert one.wrong(Way.FIXED) == pytest.approx(under if one.times >= 1 else 1 - under, abs=near(under))


def test_a_level_is_above_exactly_at_its_mark(one_site: Figures) -> None:
    assert [one.is_above for one in one_site.at] == [False, True, True]


def test_certain_fields_take_as_many_samples_as_sums_under_the_mark_make_them(one_site: Figures) -> None:
    # The mean number of samples is the sum of the chances that n samples are still under it, n from 0 to 9.
    for one in one_site.at:
        still = [1.0, *(chance_of_sum_under(18, 1.8 * float(one.times), n) for n in range(1, 10))]
        tally = one.ways[Way.CERTAIN]
        assert tally.mean_samples == pytest.approx(math.fsum(still), abs=4 * 3 / math.sqrt(FIELDS))


def test_certain_changes_no_call_and_saves_samples_above_the_level() -> None:
    found = run(rehearsal(), wanted("0.5", "1", "2", rounds=200), ways=[Way.FIXED, Way.CERTAIN])
    for one in found.at:
        assert one.ways[Way.CERTAIN].otherwise == 0
        assert one.ways[Way.CERTAIN].above == one.ways[Way.FIXED].above
        assert one.ways[Way.FIXED].mean_samples == 30
    assert found.at[0].saved(Way.CERTAIN) < 0.05
    assert found.at[2].saved(Way.CERTAIN) > 0.3


def test_one_site_under_a_most_is_wrong_as_often_as_is_exact_or_by_its_level() -> None:
    # The exact figures say the likelier at the end, a sum over 16.9; the level asks for 18, so by it alpha is less
    # and beta more.
    one = run(rehearsal(1, k_sites=INF), wanted("1", rounds=FIELDS)).one_site
    assert one is not None
    assert one.exact is not None
    low, high = one.exact.capped_at_low, one.exact.capped_at_high
    assert (one.low, one.high) == (Fraction(2, 3), Fraction(4, 3))
    assert low.high - near(low.high) <= one.alpha <= low.called_high
    assert high.called_low - near(high.called_low) <= one.beta <= high.called_low + high.leans_high
    assert one.at_low.mean_samples <= low.n + 0.2
    assert one.exact.free_at_low.called_high == pytest.approx(0.0574, abs=5e-5)


def test_no_exact_figures_are_given_of_counts_that_are_spread_otherwise_than_the_lines_say() -> None:
    one = run(rehearsal(k=0.6), wanted("1", rounds=100)).one_site
    assert one is not None
    assert one.exact is None


def test_a_plan_that_never_errs_alerts_on_the_first_round_past_the_level() -> None:
    # Counts of thousands that nothing but chance spreads are off by a percent or two; a day's growth is 15 percent.
    huge = Effort(Fraction(10_000), Unit.ROW_FT)
    of = rehearsal(1, walked=plan(2, each=huge), stopped=sequential(2, 1, each=huge), k=INF, k_sites=INF)
    found = run(of, wanted("1", rounds=1, seasons=60, growth=Growth(Fraction("0.21"), Fraction("5"), 7)))
    for season in found.seasons.values():
        assert [end.days for end in season.ends] == pytest.approx(list(found.soonest))
        assert season.early == 0
        assert season.mean_missed == 0
    assert 0 <= min(found.soonest) <= max(found.soonest) < 7


def test_the_first_round_of_a_season_falls_on_any_day_of_the_week() -> None:
    found = run(rehearsal(1, k_sites=INF), wanted("1", rounds=1, seasons=70))
    assert {day % 7 for day in found.soonest} == {0, 1, 2, 3, 4, 5, 6}


def test_a_field_that_grows_slowly_is_watched_until_it_is_above() -> None:
    found = run(
        rehearsal(), wanted("1", rounds=1, seasons=10, growth=Growth(Fraction("0.9"), Fraction(21), 7))
    )
    for season in found.seasons.values():
        assert len(season.ends) == 10
        assert all(end.days is not None and end.samples > 0 for end in season.ends)
    assert found.seasons[Way.CERTAIN].mean_samples < found.seasons[Way.FIXED].mean_samples


def test_the_same_seed_gives_the_same_figures_with_however_many_processes() -> None:
    asked = wanted("0.5", "2", rounds=201, seasons=101)
    alone = run(rehearsal(), asked)
    assert run(rehearsal(), asked, processes=2) == alone


def test_another_seed_draws_other_fields() -> None:
    first, again, other = (run(rehearsal(), wanted("1", seed=seed)).at for seed in (1, 1, 2))
    assert first == again != other


def test_a_density_is_drawn_the_same_whatever_stands_beside_it() -> None:
    few, more = (run(rehearsal(), wanted(*at, rounds=100)).at for at in (("2",), ("0.5", "1", "2")))
    assert few[0] == more[2]


def test_progress_is_told_stretch_by_stretch() -> None:
    told: list[tuple[int, int]] = []
    run(rehearsal(), wanted("1", rounds=150, seasons=1), tick=lambda done, of: told.append((done, of)))
    # Two stretches of fields, two each of single sites at low and at high, one of seasons.
    assert told == [(n, 7) for n in range(1, 8)]
