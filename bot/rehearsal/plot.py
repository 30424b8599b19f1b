"""The curves of a rehearsal as a picture: calls, samples, and how soon the alert goes."""

from collections.abc import Sequence

from bot.figures_plot import Curve, Mark, Panel, svg
from bot.rehearsal.running import Figures, Wanted
from bot.rehearsal.seasons import SeasonTally
from bot.rehearsal.values import CannotRehearse, Rehearsal, said_effort

MOST_DAYS_DRAWN = 21


def picture(rehearsal: Rehearsal, wanted: Wanted, found: Figures) -> str:
    """Give a whole SVG file; the season's panel is left out where no seasons were played."""
    level = rehearsal.level
    x_label = f"true density per {said_effort(level.per)}"
    mark = Mark(float(level.high), "level")
    calls, samples = (_curves(rehearsal, found, samples=samples) for samples in (False, True))
    panels = [
        Panel("Fields called above", x_label, "of 100 fields", calls, mark, key_low=True),
        Panel("Samples counted in a field", x_label, "mean", samples, mark, key_low=True),
    ]
    if not any(y for curve in calls for _, y in curve.points):
        raise CannotRehearse(
            "No field was called above: there is no curve to draw. Look at higher densities (--at)."
        )
    if any(day <= MOST_DAYS_DRAWN for season in found.seasons.values() for day in season.days):
        title = f"Alerts in a field that doubles every {float(wanted.growth.doubling_days):g} days"
        curves = [Curve(way, _days(season)) for way, season in found.seasons.items()]
        panels.append(
            Panel(title, "days since the level was crossed", "of 100 seasons", curves, key_low=True)
        )
    return svg("Plans rehearsed: calls, samples and alerts", panels)


def _curves(rehearsal: Rehearsal, found: Figures, *, samples: bool) -> Sequence[Curve]:
    curves = []
    for way in found.at[0].ways:
        tallies = [(float(one.times * rehearsal.level.high), one.ways[way]) for one in found.at]
        points = [(x, tally.mean_samples if samples else 100 * tally.share_above) for x, tally in tallies]
        curves.append(Curve(way, points))
    return curves


def _days(season: SeasonTally) -> Sequence[tuple[float, float]]:
    """Give how many of 100 seasons had their alert by each day after the crossing."""
    days, seasons = season.days, len(season.ends)
    return [(step, 100 * sum(day <= step for day in days) / seasons) for step in range(MOST_DAYS_DRAWN + 1)]
