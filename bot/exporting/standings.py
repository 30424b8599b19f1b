"""standings.csv: where every site stood on every day to its levels."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from bot.exporting.figures import as_judged, density_found, what_stands
from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from bot.field_book import SiteView
from bot.rules import SiteFigures
from storage import Visit, holds_something


@dataclass(frozen=True, slots=True)
class AtSite:
    """One figure of a site on a day; `visit` is None where only shares were looked at."""

    visit: Visit | None
    view: SiteView
    figures: SiteFigures

    @property
    def is_share(self) -> bool:
        return self.figures.share is not None


def sites_not_stood(record: Record) -> list[int]:
    """Give the sites with counts that the season no longer has: they are on record, but stand nowhere."""
    return sorted({visit.site for visit in record.visits} - set(record.book.sites))


def standings_table(record: Record) -> Table[AtSite]:
    """Give every figure of every site and day."""
    book = record.book
    visits = {(visit.day, visit.site): visit for visit in record.visits if holds_something(visit)}
    shares = {(share.day, share.number) for share in record.shares if share.ended_at is None}
    days: list[tuple[date, int]] = sorted(set(visits) | shares)
    rows = [
        AtSite(visits.get((day, site)), view, figures)
        for day, site in days
        if site in book.sites
        for view in [book.site_view(site, day)]
        for figures in view.figures
    ]
    columns: tuple[Column[AtSite], ...] = (
        Column("site", Kind.NUMBER, "the site's number", lambda one: one.view.site),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.view.field.number),
        Column("day", Kind.DAY, "the local day", lambda one: one.view.day),
        Column(
            "visit",
            Kind.NUMBER,
            "the visit, as in visits.csv",
            lambda one: one.visit.id if one.visit else None,
            "nothing was sampled that day, only shares looked at",
        ),
        Column(
            "round",
            Kind.NUMBER,
            "the round, as in fields.csv",
            lambda one: one.visit.round_id if one.visit else None,
            "as for visit, or skipped while no round was open",
        ),
        *what_stands(record),
        Column(
            "total",
            Kind.NUMBER,
            "weighted count over the samples in which all its columns were counted; of a share its n",
            lambda one: one.figures.total,
        ),
        Column(
            "effort",
            Kind.NUMBER,
            "effort of those samples; of a share its m",
            lambda one: one.figures.effort,
            unit="per_unit",
        ),
        *density_found(),
        *as_judged(),
        Column(
            "close_call",
            Kind.YES_NO,
            "whether the interval holds a mark of the level",
            lambda one: one.figures.close_call,
            "no interval or no level",
        ),
        *_interval("interval", "80 % interval of the density", "no finished visit, or sums over samples"),
        *_interval("between_stops", "80 % interval of a share by how its stops differ", "no share by stops"),
    )
    about = (
        "One row for every site, day and target or share that has a level: as it stood at the moment of this record. "
        "By day, site, then targets in card order, then shares."
    )
    return Table("standings", about, columns, rows)


def _interval(which: str, meaning: str, empty: str) -> tuple[Column[AtSite], ...]:
    """Give both ends of an interval of a site's figures."""

    def end(one: AtSite, side: str) -> Any:
        found = getattr(one.figures, which)
        return getattr(found, side) if found is not None else None

    per = "per_amount per_unit"
    return (
        Column(f"{which}_low", Kind.NUMBER, f"{meaning}, low end", lambda one: end(one, "low"), empty, per),
        Column(
            f"{which}_high", Kind.NUMBER, f"{meaning}, high end", lambda one: end(one, "high"), empty, per
        ),
    )
