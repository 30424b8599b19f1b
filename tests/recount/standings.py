"""From counts to a standing: densities, certainty, squares, for a site and for a mean of sites."""

from dataclasses import dataclass, replace
from fractions import Fraction
from math import log

from tests.recount.file import UNITS, Level, Plan, SeasonPage
from tests.recount.visits import Visit, counted_in, effort

WORST = ("above", "in range", "unknown", "below")


@dataclass(frozen=True, slots=True)
class Squares:
    """Squares still on, and looked at."""

    n: int
    of: int


@dataclass(frozen=True, slots=True)
class Sum:
    """A weighted sum over an effort, said per so much; `planned` is the effort once all is in."""

    total: Fraction
    effort: Fraction
    planned: Fraction
    per: Fraction

    @property
    def density(self) -> Fraction | None:
        """Give the density of what is in."""
        return self.total / self.effort * self.per if self.effort else None

    @property
    def sure(self) -> Fraction:
        """Give the density that stays whatever is still to come."""
        return self.total / self.planned * self.per if self.planned else Fraction(0)


@dataclass(frozen=True, slots=True)
class Stands:
    """How one level stands at a site or in a field."""

    row: Level
    total: Fraction | None
    effort: Fraction | None
    density: Fraction | None
    low: Fraction
    high: Fraction
    standing: str
    needs: str | None
    certain: bool


def weights(season: SeasonPage, plan: Plan, target: str, count: dict[str, Fraction]) -> dict[str, Fraction]:
    """Give the columns of the card that count for a target, with their weights."""
    return {
        code: count[stage]
        for code, stage in season.targets[target].items()
        if stage in count and code in plan.card
    }


def columns(season: SeasonPage, plan: Plan, row: Level) -> dict[str, Fraction]:
    """Give all columns that a row counts, those of the targets counted `with` it too."""
    codes = weights(season, plan, row.target, row.count)
    for target, weight in row.with_.items():
        codes |= {code: weight for code in season.targets[target] if code in plan.card}
    return codes


def sum_of(visit: Visit | None, plan: Plan, codes: dict[str, Fraction], per: Fraction, unit: str) -> Sum:
    """Sum the columns over the samples in which all of them were counted."""
    if visit is None:
        return Sum(Fraction(0), Fraction(0), plan.samples * effort(None, plan, unit), per)
    taken = counted_in(visit, codes)
    total = sum(
        (weight * (sample.counts.get(code) or 0) for sample in taken for code, weight in codes.items()),
        Fraction(0),
    )
    done = sum((effort(sample.each, plan, unit) for sample in taken), Fraction(0))
    rest = max(plan.samples - len(visit.samples), 0) * effort(visit.each, plan, unit)
    return Sum(total, done, done + rest, per)


def halved(row: Level, squares: Squares | None) -> tuple[Fraction, Fraction]:
    """Give low and high as they are in force with these squares."""
    if row.mark and row.mark[2] == "halve" and squares and under_mark(row, squares):
        return row.low / 2, row.high / 2
    return row.low, row.high


def under_mark(row: Level, squares: Squares) -> bool:
    """Say whether the squares are under the row's mark."""
    assert row.mark is not None
    share = Fraction(squares.n * 100, squares.of)
    return share < row.mark[1] if row.mark[0] == "below" else share <= row.mark[1]


def by_count(row: Level, density: Fraction, also: Fraction | None, squares: Squares | None) -> str:
    """Give the standing by the count alone, with the second count that must hold too."""
    low, high = halved(row, squares)
    standing = "above" if density >= high else "in range" if density >= low else "below"
    if standing != "below" and row.also is not None and (also is None or also < row.also[1]):
        return "below"
    return standing


def standing_of(
    row: Level, density: Fraction | None, also: Fraction | None, squares: Squares | None
) -> tuple[str, str | None]:
    """Give the standing and what it needs where it is unknown."""
    if density is None:
        return "unknown", "samples"
    if not row.id:
        return "unknown", "stage"
    count = by_count(row, density, also, squares)
    if row.mark is None or row.mark[2] == "halve":
        return count, None
    if row.mark[2] == "or":
        return ("above" if squares and density > 0 and under_mark(row, squares) else count), None
    if count == "below":
        return "below", None
    if squares is None:
        return "unknown", "squares"
    return (count if under_mark(row, squares) else "below"), None


def is_sure(row: Level, first: Fraction, also: Fraction | None, squares: Squares | None) -> bool:
    """Say whether sums against all planned effort are above already."""
    if not row.id:
        return False
    mark = row.mark
    under = mark is not None and squares is not None and under_mark(row, squares)
    if mark is not None and mark[2] == "or" and under and first > 0:
        return True
    if mark is not None and mark[2] == "and" and not under:
        return False
    return first >= halved(row, squares)[1] and (
        row.also is None or (also is not None and also >= row.also[1])
    )


def sums_for(season: SeasonPage, visit: Visit | None, plan: Plan, row: Level) -> tuple[Sum, Sum | None]:
    """Give a visit's sum for a row, and for its second count."""
    first = sum_of(visit, plan, columns(season, plan, row), row.per, UNITS[row.unit])
    if row.also is None:
        return first, None
    second = weights(season, plan, row.target, row.also[0])
    return first, sum_of(visit, plan, second, row.also[2], UNITS[row.unit])


def stands(
    season: SeasonPage,
    visit: Visit | None,
    plan: Plan,
    row: Level,
    squares: Squares | None,
    *,
    state: str,
    alone: bool,
) -> Stands:
    """Give how a site stands to a row; `alone` where its field has no other site."""
    low, high = halved(row, squares)
    if row.is_share:
        return _share_stands(season, visit, row, state)
    first, second = sums_for(season, visit, plan, row)
    also = None if second is None else second.density
    sure = is_sure(row, first.sure, None if second is None else second.sure, squares)
    standing, needs = standing_of(row, first.density, also, squares)
    certain = state in ("done", "short") or (visit is not None and visit.begun and sure)
    if state == "short" and visit is not None and len(visit.samples) < plan.least and not (alone and sure):
        standing, needs = "unknown", "samples"
    if state == "none":
        standing, needs, certain = "unknown", "samples", False
    total, done = first.total, first.effort
    return Stands(row, total, done, first.density, low, high, standing, needs, certain)


def _share_stands(season: SeasonPage, visit: Visit | None, row: Level, state: str) -> Stands:
    code = season.shares[row.target][0]
    n, of = visit.shares.get(code, (0, 0)) if visit is not None else (0, 0)
    density = Fraction(n * 100, of) if of else None
    standing, needs = standing_of(row, density, None, None)
    return Stands(
        row,
        Fraction(n),
        Fraction(of),
        density,
        row.low,
        row.high,
        standing,
        needs,
        state in ("done", "short"),
    )


def worst(standings: list[str]) -> str:
    """Give the worst of some standings."""
    return min(standings, key=WORST.index)


def renamed(one: Stands, standing: str, needs: str | None) -> Stands:
    """Give the same figures with another standing."""
    return replace(one, standing=standing, needs=needs)


def stop_lines(plan: Plan) -> tuple[float, float, float]:
    """Give slope, low and high intercept of a sequential plan's lines, for the sum of whole samples (Wald)."""
    stop = plan.stop
    assert stop is not None
    amount, unit = str(stop["per"]).split(" ", 1)
    scale = float(plan.each[UNITS[unit]]) / float(amount)
    low, high = float(stop["low"]) * scale, float(stop["high"]) * scale
    alpha, beta = float(stop["alpha"]), float(stop["beta"])
    if "k" in stop:
        k = float(stop["k"])
        g = log(high * (k + low) / (low * (k + high)))
        slope = k * log((k + high) / (k + low)) / g
    else:
        g = log(high / low)
        slope = (high - low) / g
    return slope, log((1 - alpha) / beta) / g, log((1 - beta) / alpha) / g
