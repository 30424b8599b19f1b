"""visits.csv: every visit of a site, as it was begun and how it ended."""

from dataclasses import dataclass
from fractions import Fraction

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from bot.rules import Plan, VisitEnd, VisitFacts
from storage import Visit, holds_something

SKIPPED, EMPTIED = "skipped", "taken back"


@dataclass(frozen=True, slots=True)
class SeenVisit:
    """A visit as it was kept and as the rules see it."""

    row: Visit
    plan: Plan
    facts: VisitFacts
    state: str

    @property
    def lost(self) -> int:
        """How many samples are lost and not counted again."""
        return sum(sample.lost for sample in self.facts.samples)


def seen_visits(record: Record) -> list[SeenVisit]:
    """Give all visits as they are seen at the record's moment, oldest day first."""
    return [_seen(record, row) for row in record.visits]


def _seen(record: Record, row: Visit) -> SeenVisit:
    facts = record.book.facts(row)
    said = SKIPPED if facts.end is VisitEnd.SKIPPED else facts.end.value
    return SeenVisit(row, facts.plan, facts, said if holds_something(row) else EMPTIED)


def visits_table(record: Record) -> Table[SeenVisit]:
    """Give every visit."""

    def gear(one: SeenVisit) -> str | None:
        return gear_of(one.plan)

    def field_name(one: SeenVisit) -> str | None:
        field = record.season.fields.get(one.row.field)
        return field.name if field is not None else None

    columns: tuple[Column[SeenVisit], ...] = (
        Column("visit", Kind.NUMBER, "number of the visit", lambda one: one.row.id),
        Column(
            "round",
            Kind.NUMBER,
            "the round of the field, as in fields.csv",
            lambda one: one.row.round_id,
            "skipped while no round was open",
        ),
        Column("site", Kind.NUMBER, "the site's number", lambda one: one.row.site),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.row.field),
        Column("field_name", Kind.TEXT, "the field's name", field_name, "the season no longer has the field"),
        Column("day", Kind.DAY, "the local day", lambda one: one.row.day),
        Column(
            "state",
            Kind.WORD,
            "open; done; short (ended before all samples were in); skipped; taken back (no sample stands)",
            lambda one: one.state,
        ),
        Column(
            "reason",
            Kind.TEXT,
            "why it was skipped or ended short, as texted",
            lambda one: record.words(one.row.reason),
            "none was said",
        ),
        Column(
            "stage",
            Kind.WORD,
            "the field's stage at the first sample: presquare, squaring N, bloom N (weeks), cutout",
            lambda one: one.row.stage,
            "not known then",
        ),
        Column("plan", Kind.TEXT, "key of the plan", lambda one: one.plan.key),
        Column("method", Kind.WORD, "how samples are taken", lambda one: one.plan.method.value),
        Column("gear", Kind.TEXT, "hoop, sheet or bucket of the plan", gear, "the plan does not say"),
        Column("samples_planned", Kind.NUMBER, "samples of the plan", lambda one: one.plan.samples),
        Column("samples_in", Kind.NUMBER, "samples that count", lambda one: one.facts.samples_in),
        Column("samples_lost", Kind.NUMBER, "samples lost and not counted again", lambda one: one.lost),
        Column(
            "effort_each",
            Kind.NUMBER,
            "planned effort of one sample",
            lambda one: one.plan.each.amount,
            unit="effort_unit",
        ),
        Column(
            "effort_unit",
            Kind.WORD,
            "sweeps, row ft, plants or terminals",
            lambda one: one.plan.each.unit.value,
        ),
        Column("person", Kind.TEXT, "key of who began it", lambda one: one.row.person),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.row.person),
            "the season no longer has the person",
        ),
        Column("begun_at", Kind.TIME, "when its first text was read", lambda one: one.row.begun_at),
    )
    about = "One row for every site and day on which it was sampled or skipped. By day, then site."
    return Table("visits", about, columns, seen_visits(record))


def gear_of(plan: Plan) -> str | None:
    """Give what a plan says of its gear: a sheet's colour, a hoop in inches, a bucket in quarts."""

    def plain(amount: Fraction) -> str:
        return f"{float(amount):g}"

    said = [
        f"{plan.sheet} sheet" if plan.sheet else None,
        f"{plain(plan.hoop_in)} in hoop" if plan.hoop_in is not None else None,
        f"{plain(plan.bucket_qt)} qt bucket" if plan.bucket_qt is not None else None,
    ]
    return ", ".join(filter(None, said)) or None
