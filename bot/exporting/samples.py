"""samples.csv: every sample with every column, those that count no more and those beside the visit marked."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from bot.exporting.record import Record
from bot.exporting.table import Column, Kind, Table
from bot.field_book import plan_of
from bot.rules import Plan
from parsing import TOTALS
from storage import CheckRow, SampleRow, Visit

SAMPLE, TOTAL, CHECK, TRAINEE = "sample", "total", "check", "trainee"

STANDS, REPLACED, TAKEN_BACK, BECAME_SAMPLE = "stands", "replaced", "taken back", "became a sample"


@dataclass(frozen=True, slots=True)
class Counted:
    """One column of one row of counts."""

    kind: str
    row: SampleRow | CheckRow
    site: int
    field: int
    day: date
    visit: Visit | None
    plan: Plan | None
    status: str
    code: str
    on_card: bool
    count: int | None

    @property
    def samples(self) -> int:
        """How many samples it counts for: n for sums over n, none for a lost one."""
        if self.row.lost:
            return 0
        return (self.row.covers or 1) if isinstance(self.row, SampleRow) else 1

    @property
    def effort(self) -> Fraction | None:
        """The effort of all the samples that it counts for; None where it is lost."""
        return Fraction(self.row.effort) * self.samples if self.samples else None


def samples_table(record: Record) -> Table[Counted]:
    """Give every sample and column."""
    season = record.season

    def target(one: Counted) -> str | None:
        on_card = next((c for c in one.plan.card if c.code == one.code), None) if one.plan else None
        column = on_card or season.column(one.code)
        return column.target if column is not None else None

    def life_stage(one: Counted) -> str | None:
        on_card = next((c for c in one.plan.card if c.code == one.code), None) if one.plan else None
        column = on_card or season.column(one.code)
        return column.life_stage if column is not None else None

    def target_name(one: Counted) -> str | None:
        known = season.targets.get(target(one) or "")
        return known.name if known is not None else None

    columns: tuple[Column[Counted], ...] = (
        Column("kind", Kind.WORD, KIND_MEANS, lambda one: one.kind),
        Column(
            "id", Kind.NUMBER, "number of the row of counts, of its own for each kind", lambda one: one.row.id
        ),
        Column("site", Kind.NUMBER, "the site's number", lambda one: one.site),
        Column("field", Kind.NUMBER, "the field's number", lambda one: one.field),
        Column("day", Kind.DAY, "the local day of the visit", lambda one: one.day),
        Column(
            "round",
            Kind.NUMBER,
            "the round of the field, as in fields.csv",
            lambda one: one.visit.round_id if one.visit else None,
            "a check or a trainee's count, or a visit without a round",
        ),
        Column(
            "visit",
            Kind.NUMBER,
            "the visit, as in visits.csv",
            lambda one: one.visit.id if one.visit else None,
            "a check or a trainee's count of a site that has no visit that day",
        ),
        Column(
            "plan",
            Kind.TEXT,
            "key of the plan that it was counted under",
            lambda one: one.plan.key if one.plan else None,
            "not noted with the check, or a plan that the season no longer has",
        ),
        Column(
            "method",
            Kind.WORD,
            "sweep net, beat sheet, beat bucket or visual",
            lambda one: one.plan.method.value if one.plan else None,
            "as for plan",
        ),
        Column(
            "sample",
            Kind.NUMBER,
            "the sample's number at the site",
            lambda one: None if one.row.number == TOTALS else one.row.number,
            "sums over samples that nobody sent one by one",
        ),
        Column(
            "samples",
            Kind.NUMBER,
            "how many samples the count is over: 1, n for sums, 0 where lost",
            lambda one: one.samples,
        ),
        Column("code", Kind.WORD, "the code of the column, as texted", lambda one: one.code),
        Column(
            "target",
            Kind.TEXT,
            "key of the target that the code counts",
            target,
            "a code that the season no longer has",
        ),
        Column("target_name", Kind.TEXT, "name of the target", target_name, "as for target"),
        Column(
            "life_stage", Kind.WORD, "adult, nymph or any (every life stage)", life_stage, "as for target"
        ),
        Column(
            "on_card",
            Kind.YES_NO,
            "whether the column is of the plan's card; others are extras and are in no standing",
            lambda one: one.on_card,
        ),
        Column(
            "count",
            Kind.NUMBER,
            "insects counted; 0 where it was looked for and none found",
            lambda one: one.count,
            "not counted, or the sample is lost",
            "insects",
        ),
        Column("lost", Kind.YES_NO, "whether the sample was reported lost", lambda one: one.row.lost),
        Column(
            "effort",
            Kind.NUMBER,
            "what was sampled, over all the samples that the count is over",
            lambda one: one.effort,
            "the sample is lost",
            "effort_unit",
        ),
        Column(
            "effort_unit",
            Kind.WORD,
            "sweeps, row ft, plants or terminals",
            lambda one: one.plan.each.unit.value if one.plan else None,
            "as for plan",
        ),
        Column("person", Kind.TEXT, "key of whose count it is", lambda one: one.row.person),
        Column(
            "person_name",
            Kind.TEXT,
            "his or her name",
            lambda one: record.name(one.row.person),
            "the season no longer has the person",
        ),
        Column("text", Kind.NUMBER, "the text it came with, as in texts_in.csv", lambda one: one.row.text_id),
        Column("counted_at", Kind.TIME, "when the person sent it", lambda one: one.row.counted_at),
        Column("status", Kind.WORD, STATUS_MEANS, lambda one: one.status),
        Column(
            "ended_at", Kind.TIME, "when it stopped counting", lambda one: one.row.ended_at, "it still stands"
        ),
        Column(
            "ended_by_text",
            Kind.NUMBER,
            "the text that ended it",
            lambda one: one.row.ended_by,
            "it still stands, or was ended at the desk",
        ),
    )
    about = (
        "One row for every sample and column. A standing is made of the rows of kind sample or total that stand and "
        "are on the card. By day, site, kind, sample, row, then in the order of the card, extras last."
    )
    return Table("samples", about, columns, [*_of_visits(record), *_of_checks(record)])


KIND_MEANS = (
    "sample; total (sums over several samples); check (counted once more by somebody else, in no standing); "
    "trainee (counted by somebody in training, in no standing)"
)

STATUS_MEANS = (
    "stands; replaced (the same sender or another put other counts in its place); taken back (undone, moved to "
    "another site, or a lost sample that others were moved onto); became a sample (a trainee's, now a sample)"
)


def _of_visits(record: Record) -> Iterator[Counted]:
    for visit in record.visits:
        plan = plan_of(visit.plan)
        for row in sorted(visit.samples, key=lambda row: (row.covers > 0, row.number, row.id)):
            kind = TOTAL if row.covers else SAMPLE
            status = _status(row, visit.samples)
            for code, on_card, count in _columns(row, plan):
                yield Counted(
                    kind, row, visit.site, visit.field, visit.day, visit, plan, status, code, on_card, count
                )


def _of_checks(record: Record) -> Iterator[Counted]:
    visits = {(visit.site, visit.day): visit for visit in record.visits}
    beside: dict[tuple[int, date], list[CheckRow]] = defaultdict(list)
    for row in record.checks:
        beside[row.site, row.day].append(row)
    for row in record.checks:
        visit = visits.get((row.site, row.day))
        plan = record.season.plans.get(row.plan) if row.plan is not None else None
        if plan is None and visit is not None and row.plan in (None, plan_of(visit.plan).key):
            plan = plan_of(visit.plan)
        status = _status(row, beside[row.site, row.day])
        samples = visit.samples if visit is not None else []
        if status is not STANDS and row.trainee and any(_came_of(sample, row) for sample in samples):
            status = BECAME_SAMPLE
        kind = TRAINEE if row.trainee else CHECK
        for code, on_card, count in _columns(row, plan):
            yield Counted(kind, row, row.site, row.field, row.day, visit, plan, status, code, on_card, count)


def _came_of(sample: SampleRow, row: CheckRow) -> bool:
    return (sample.person, sample.number, sample.text_id) == (row.person, row.number, row.text_id)


def _status(row: SampleRow | CheckRow, others: Sequence[SampleRow] | Sequence[CheckRow]) -> str:
    """Tell what became of a row: sums take the place of many samples without naming them, by their text."""
    if row.ended_at is None:
        return STANDS
    if any(one.replaces == row.id or one.text_id == row.ended_by for one in others if one is not row):
        return REPLACED
    return TAKEN_BACK


def _columns(row: SampleRow | CheckRow, plan: Plan | None) -> Iterator[tuple[str, bool, int | None]]:
    """Give the code, whether it is on the card, and the count of each column of a row, in card order."""
    card = plan.codes if plan is not None else tuple(row.counts)
    for code in dict.fromkeys((*card, *row.counts)):
        yield code, code in card, None if row.lost else row.counts.get(code)
    for code, count in row.extras.items():
        yield code, False, None if row.lost else count
