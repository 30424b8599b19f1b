"""Many fields and seasons on all cores; figures turn on the seed alone, not on how many processes share the work."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from multiprocessing import get_context

from bot.rehearsal.drawing import draw_counts, draw_field_sites, source_for
from bot.rehearsal.one_site import OneSite, exact_cost, marks_of, single
from bot.rehearsal.seasons import Growth, SeasonTally, joined, play_seasons
from bot.rehearsal.tally import At, Tally
from bot.rehearsal.values import CannotRehearse, Rehearsal, Way
from bot.rehearsal.walking import Walker

STRETCH = 100
"""Fields, or seasons, drawn from one source: the unit of work that a process takes."""

WORTH_A_PROCESS = 12
"""Stretches of work from which on a second process saves more time than it takes to start."""

FIELDS = 1
"""Keeps the chances of single rounds apart from those of seasons."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a rehearsal plays: rounds at each true density (times the level), and seasons of a field that grows."""

    at: tuple[Fraction, ...]
    rounds: int
    seasons: int
    growth: Growth
    seed: int

    def __post_init__(self) -> None:
        if self.rounds < 1:
            raise CannotRehearse(f"At least one round is played at each density, not {self.rounds}.")
        if self.seasons < 0:
            raise CannotRehearse(f"Seasons are 0 or more, not {self.seasons}.")
        if self.seed < 0:
            raise CannotRehearse(f"A seed is 0 or more, not {self.seed}.")
        if not self.at or min(self.at) < 0:
            raise CannotRehearse("True densities are given as times the level, 0 or more, as 0.5,1,2.")


@dataclass(frozen=True, slots=True)
class Figures:
    """All that a rehearsal found. `soonest` are the days by which a plan that never errs is late, season by season."""

    at: tuple[At, ...]
    seasons: Mapping[Way, SeasonTally]
    soonest: tuple[float, ...]
    one_site: OneSite | None


@dataclass(frozen=True, slots=True)
class FieldWork:
    """One stretch of fields of one true density."""

    rehearsal: Rehearsal
    ways: tuple[Way, ...]
    times: Fraction
    seed: int
    stretch: int
    fields: int


@dataclass(frozen=True, slots=True)
class SeasonWork:
    """One stretch of seasons."""

    rehearsal: Rehearsal
    growth: Growth
    seed: int
    stretch: int
    seasons: int


Work = FieldWork | SeasonWork
SeasonsPlayed = tuple[dict[Way, SeasonTally], tuple[float, ...]]
Done = dict[Way, Tally] | SeasonsPlayed


def run(
    rehearsal: Rehearsal,
    wanted: Wanted,
    processes: int = 1,
    ways: Sequence[Way] | None = None,
    tick: Callable[[int, int], None] = lambda _done, _of: None,
) -> Figures:
    """Play a rehearsal; `tick` is told after each stretch how many of how many are done.

    With `ways` only these are walked, and no single site at the ends of the stop lines.

    Raises:
        CannotRehearse: a true density is more than any sample holds.
    """
    chosen = tuple(rehearsal.plans) if ways is None else tuple(ways)
    fields = [work for times in wanted.at for work in _field_work(rehearsal, chosen, times, wanted)]
    seasons = [
        SeasonWork(rehearsal, wanted.growth, wanted.seed, stretch, size)
        for stretch, size in enumerate(_stretches(wanted.seasons))
    ]
    sites: list[FieldWork] = []
    marks: tuple[Fraction, ...] = ()
    if rehearsal.sequential is not None and ways is None:
        marks = marks_of(rehearsal, rehearsal.sequential)
        alone = single(rehearsal)
        sites = [work for times in marks for work in _field_work(alone, (Way.SEQUENTIAL,), times, wanted)]
    for times in (*wanted.at, *marks):
        rehearsal.mean_at(times)

    every: list[Work] = [*fields, *sites, *seasons]
    tallies: dict[tuple[int, Fraction], dict[Way, Tally]] = {}
    played: list[SeasonsPlayed] = []
    for number, (work, done) in enumerate(zip(every, _all_done(every, processes), strict=True), start=1):
        if isinstance(work, FieldWork) and isinstance(done, dict):
            key = (0 if number <= len(fields) else 1, work.times)
            before = tallies.get(key, {})
            tallies[key] = {way: before.get(way, Tally()) + more for way, more in done.items()}
        elif isinstance(done, tuple):
            played.append(done)
        tick(number, len(every))
    return Figures(
        tuple(At(times, tallies[0, times]) for times in wanted.at),
        joined([tally for tally, _ in played]),
        tuple(day for _, days in played for day in days),
        _one_site(rehearsal, marks, tallies) if marks else None,
    )


def _one_site(
    rehearsal: Rehearsal,
    marks: Sequence[Fraction],
    tallies: Mapping[tuple[int, Fraction], Mapping[Way, Tally]],
) -> OneSite | None:
    if rehearsal.sequential is None:
        return None
    low, high = marks
    exact = exact_cost(rehearsal, rehearsal.sequential)
    return OneSite(low, high, exact, tallies[1, low][Way.SEQUENTIAL], tallies[1, high][Way.SEQUENTIAL])


def _stretches(many: int) -> Iterator[int]:
    for begun in range(0, many, STRETCH):
        yield min(STRETCH, many - begun)


def _field_work(
    rehearsal: Rehearsal, ways: tuple[Way, ...], times: Fraction, wanted: Wanted
) -> Iterator[FieldWork]:
    for stretch, size in enumerate(_stretches(wanted.rounds)):
        yield FieldWork(rehearsal, ways, times, wanted.seed, stretch, size)


def _all_done(every: Sequence[Work], processes: int) -> Iterable[Done]:
    if processes < 2 or len(every) < WORTH_A_PROCESS:
        yield from map(_do, every)
        return
    # Started afresh: a process split off from one with threads may hang.
    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        yield from pool.map(_do, every, chunksize=1)


def _do(work: Work) -> Done:
    match work:
        case FieldWork():
            return play_fields(work)
        case SeasonWork(rehearsal, growth, seed, stretch, seasons):
            return play_seasons(rehearsal, growth, seed, stretch, seasons)


def play_fields(work: FieldWork) -> dict[Way, Tally]:
    """Play a stretch of fields: every way walks the same fields and meets the same counts."""
    rehearsal, spread = work.rehearsal, work.rehearsal.spread
    source = source_for(work.seed, FIELDS, work.times, work.stretch)
    sites = draw_field_sites(source, spread, work.fields, rehearsal.sites)
    counts = draw_counts(source, spread, sites * rehearsal.mean_at(work.times), rehearsal.most)
    walkers = {way: Walker(rehearsal, way) for way in work.ways}
    tallies = dict.fromkeys(work.ways, Tally())
    for field in counts:
        walked = {way: walker.walk(field) for way, walker in walkers.items()}
        fixed = walked.get(Way.FIXED)
        for way, one in walked.items():
            tallies[way] = tallies[way].with_field(one, fixed)
    return tallies
