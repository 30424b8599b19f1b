"""A rehearsal in sentences: what is rehearsed, and what a choice between the plans turns on."""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction

from bot.rehearsal.running import Figures, Wanted
from bot.rehearsal.tally import At
from bot.rehearsal.values import Rehearsal, Way, said_effort

NOT_CLAIMED = (
    "an error rate of the sequential plan for a field of several sites: each stops for itself, and the figures "
    "hold for counts spread as said here, no further."
)


def heading(of: Rehearsal, wanted: Wanted) -> Iterator[str]:
    """Say what is rehearsed: the field, the plans, how counts are spread, how many fields."""
    field = "one site" if of.sites == 1 else f"{of.sites} sites"
    yield (
        f"A field of {field}, samples of {said_effort(of.plan.each)}, above from {number(of.level.high)} per "
        f"{said_effort(of.level.per)} on; counts with {clumped(of)}."
    )
    yield f"{wanted.rounds:,} fields at each true density, the same for each plan; seed {wanted.seed}."
    each = "1 sample" if of.plan.samples == 1 else f"{of.plan.samples} samples"
    whole = f"{each} a site, {of.sites * of.plan.samples} a field"
    yield f"[bold]fixed[/bold]       {whole}"
    yield "[bold]certain[/bold]     the same, but counting ends as soon as the field is above for sure"
    if of.sequential is not None and of.sequential.stop is not None:
        stop = of.sequential.stop
        lines = f"between {number(stop.low)} and {number(stop.high)} per {said_effort(stop.per)}"
        family = "no clumping" if stop.k is None else f"k {number(stop.k)}"
        samples = f"{stop.at_least} to {of.sequential.samples} samples"
        yield f"[bold]sequential[/bold]  each site to its stop lines, {lines}, {samples}"
        yield f"            (alpha {number(stop.alpha)}, beta {number(stop.beta)}, {family}), or as certain"


def in_short(of: Rehearsal, wanted: Wanted, found: Figures) -> Iterator[str]:
    """Say what a choice turns on: a sentence for each plan beside the fixed one, and one on the season."""
    for way in (Way.CERTAIN, Way.SEQUENTIAL):
        if way not in found.at[0].ways:
            continue
        yield f"{way} {_saves([(one.saved(way), one) for one in _two_ends(found.at)])}. {_calls(way, found.at)}"
    if of.sequential is None:
        yield "No stop lines are given (--low, --high): no sequential plan is rehearsed."
    if found.seasons:
        said = " and ".join(
            f"{_days(season.mean_late)} under {way} ({of_100(season.early)} of 100 too early)"
            for way, season in found.seasons.items()
            if way is not Way.CERTAIN
        )
        yield (
            f"In a field that doubles every {number(wanted.growth.doubling_days)} days the alert follows the level "
            f"by {said}; by {_days(mean(found.soonest))} if no round were wrong."
        )


def in_short_one_site(of: Rehearsal, found: Figures) -> Iterator[str]:
    """Say what the most number of samples costs one site, where that is known exactly."""
    one = found.one_site
    if one is None or one.exact is None or of.sequential is None:
        return
    low, high = one.exact.free_at_low, one.exact.free_at_high
    yield (
        f"What the most of {of.sequential.samples} samples costs one site: wrong calls go from "
        f"{of_100(low.called_high)} to {of_100(one.alpha)} of 100 at low and from {of_100(high.called_low)} to "
        f"{of_100(one.beta)} at high; samples from {low.n:.1f} to {one.at_low.mean_samples:.1f} and from "
        f"{high.n:.1f} to {one.at_high.mean_samples:.1f}."
    )


def _two_ends(at: Sequence[At]) -> Sequence[At]:
    """Give the densities nearest to half and to double the level."""
    half, double = _nearest(at, Fraction(1, 2)), _nearest(at, Fraction(2))
    return (half,) if half.times == double.times else (half, double)


def _nearest(at: Sequence[At], wanted: Fraction) -> At:
    return min(at, key=lambda one: abs(one.times - wanted))


def _saves(parts: Sequence[tuple[float, At]]) -> str:
    """Say how many of 100 samples of the fixed plan are saved, or taken beyond them, at each density."""
    said: list[str] = []
    before = ""
    for part, one in parts:
        verb = "saves" if part >= 0 else "takes"
        more = "" if part >= 0 else " more"
        amount = f"{of_100(abs(part))} of 100 samples{more}" if not said else f"{of_100(abs(part))}{more}"
        said.append(f"{'' if verb == before else verb + ' '}{amount} at {number(one.times)}x the level")
        before = verb
    return ", ".join(said)


def _calls(way: Way, at: Sequence[At]) -> str:
    """Say how a plan's calls differ from those of the fixed plan."""
    fields = sum(one.ways[way].fields for one in at)
    otherwise = sum(one.ways[way].otherwise for one in at)
    if not otherwise:
        return f"It calls every one of the {fields:,} fields as fixed does."
    gaps = {one.times: one.wrong(way) - one.wrong(Way.FIXED) for one in at}
    worst, best = max(gaps, key=gaps.__getitem__), min(gaps, key=gaps.__getitem__)
    said = [f"up to {of_100(gaps[worst])} more wrong (at {number(worst)}x)"] if gaps[worst] > 0 else []
    said += [f"up to {of_100(-gaps[best])} fewer (at {number(best)}x)"] if gaps[best] < 0 else []
    return (
        f"Of 100 fields it calls {' and '.join(said or ['as many wrong'])} {'than' if said else 'as'} fixed."
    )


def clumped(of: Rehearsal) -> str:
    """Say how the counts are spread within a site and between sites."""
    within = "no clumping" if math.isinf(of.spread.k) else f"k {of.spread.k:g}"
    if of.sites == 1:
        return within
    between = "all sites alike" if math.isinf(of.spread.k_sites) else f"k {of.spread.k_sites:g} between sites"
    return f"{within} within a site, {between}"


def number(figure: object) -> str:
    """Give a figure without digits that say nothing."""
    return f"{float(figure):.4g}"  # type: ignore[arg-type]  # Fraction, int or float


def of_100(part: float) -> str:
    """Give a part as so many of 100, small ones with a digit after the point."""
    return f"{100 * part:.0f}" if abs(part) >= 0.095 or part == 0 else f"{100 * part:.1f}"


def mean(figures: Sequence[float]) -> float | None:
    """Give the mean, None of nothing."""
    return math.fsum(figures) / len(figures) if figures else None


def _days(figure: float | None) -> str:
    return "never" if figure is None else f"{figure:.1f} days"
