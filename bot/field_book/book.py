"""What the season and the database say together: stages, plans, rounds, visits and standings of a moment."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from bot.field_book.cards import Cards
from bot.field_book.retention import squares_between, squares_lately
from bot.field_book.snapshots import level_of, plan_of, stage_of
from bot.field_book.views import FieldView, SiteView
from bot.rules import (
    Field,
    Level,
    Person,
    PersonKey,
    Phase,
    Plan,
    SampleFacts,
    Season,
    SquaresOn,
    Stage,
    StageMark,
    VisitFacts,
    field_standing,
    governing_mark,
    rows_by_target,
    site_standing,
)
from parsing import Ground, shipped_words
from storage import (
    Round,
    Session,
    Visit,
    VisitState,
    efforts_on,
    holds_something,
    round_after,
    rounds_by,
    stage_texts,
    standing_samples,
    visit_on,
    visits_of_day,
)

LATEST_SENT = timedelta(days=7)


class FieldBook:
    """The book of one moment: a season, a session to read in, and the time now, which is never asked again."""

    def __init__(self, session: Session, season: Season, now: datetime) -> None:
        self.session = session
        self.season = season
        self.now = now
        self.zone = ZoneInfo(season.timezone)
        self.sites: dict[int, Field] = {
            site: field for field in season.fields.values() for site in field.sites
        }

    def person(self, key: str) -> Person | None:
        """Give the person that a kept key means, None where the season no longer has one."""
        return self.season.people.get(PersonKey(key))

    @property
    def today(self) -> date:
        """The local day now."""
        return self.local(self.now).date()

    def local(self, moment: datetime) -> datetime:
        """Give a moment in the season's own time."""
        return moment.astimezone(self.zone)

    def at(self, day: date, clock: time) -> datetime:
        """Give the moment of a local day and time of day."""
        return datetime.combine(day, clock, self.zone)

    def text_day(self, sent_at: datetime | None, received_at: datetime) -> date:
        """Give the day that a text belongs to: sent, unless that lies ahead or over 7 days back; else received."""
        if sent_at is not None and received_at - LATEST_SENT <= sent_at <= received_at:
            return self.local(sent_at).date()
        return self.local(received_at).date()

    def quiet_until(self, moment: datetime) -> datetime:
        """Give the moment from which the machine may start a text: now, or the end of the quiet hours."""
        begins, ends = self.season.quiet
        local = self.local(moment)
        clock = local.time()
        if begins <= ends:
            return self.at(local.date(), ends) if begins <= clock < ends else moment
        if clock >= begins:
            return self.at(local.date() + timedelta(days=1), ends)
        return self.at(local.date(), ends) if clock < ends else moment

    def next_quiet(self, moment: datetime) -> datetime:
        """Give the moment at which the quiet hours next begin."""
        begins, _ = self.season.quiet
        local = self.local(moment)
        today = self.at(local.date(), begins)
        return today if today > moment else self.at(local.date() + timedelta(days=1), begins)

    def ground(self, day: date, here: int | None) -> Ground:
        """Give what a text of a day is read against."""
        season = self.season
        columns = (column.code for target in season.targets.values() for column in target.columns)
        return Ground(
            words=shipped_words(),
            cards=Cards(self.sites, lambda site: self.plan_on(site, day)),
            fields={
                field.number: field.sites
                for field in season.fields.values()
                if field.number not in field.sites
            },
            codes=frozenset(columns),
            shares=frozenset(share.code for share in season.shares.values()),
            largest_sample=max(plan.samples for plan in season.plans.values()),
            here=here,
        )

    def open_sites_of(self, person: str, day: date) -> list[int]:
        """Give the sites where somebody has an unfinished visit of a day."""
        return [
            visit.site
            for visit in visits_of_day(self.session, day)
            if visit.site in self.sites
            and visit.state == VisitState.OPEN
            and any(sample.person == person for sample in standing_samples(visit))
            and not self.facts(visit).finished
        ]

    def marks(self, field: Field, by: date | None = None) -> list[StageMark]:
        """Give what says a field's stage: the file's dates, then the texts up to a day as they came."""
        texted = [
            StageMark(row.day, Phase[row.phase.upper()], row.week, row.proposal)
            for row in stage_texts(self.session, field.number)
            if by is None or row.day <= by
        ]
        return [*field.stage_dates, *texted]

    def mark_on(self, field: Field, day: date) -> StageMark | None:
        """Give what says a field's stage on a day."""
        return governing_mark(self.marks(field, day), day)

    def stage_on(self, field: Field, day: date) -> Stage | None:
        """Give a field's stage on a day, None where it is not known."""
        mark = self.mark_on(field, day)
        return mark.on(day) if mark else None

    def plan_on(self, site: int, day: date) -> Plan | None:
        """Give the plan that counts of a day for a site go by; None where it turns on an unknown stage."""
        visit = visit_on(self.session, site, day)
        if visit is not None and visit.round is not None and holds_something(visit):
            return plan_of(visit.plan)
        field = self.sites[site]
        open_round = self.open_round(field, day)
        if open_round is not None:
            return plan_of(open_round.plan)
        key = field.plan_for(self.stage_on(field, day))
        return self.season.plans[key] if key else None

    def open_round(self, field: Field, day: date) -> Round | None:
        """Give the round that a field has open on a day."""
        newest = self.newest_round(field, day)
        if newest is None or self.is_over(newest, field, day):
            return None
        return newest

    def newest_round(self, field: Field, by: date | None = None) -> Round | None:
        """Give a field's newest round that holds a sample, or the newest of those that began by a day."""
        for one in rounds_by(self.session, field.number, by):
            if any(holds_something(visit) for visit in one.visits):
                return one
        return None

    def is_over(self, of: Round, field: Field, day: date) -> bool:
        """Tell whether a round is over on a day: every site finished or skipped, or its days run out."""
        if self.days_are_out(of, day):
            return True
        visits = self.newest_visits(of, day)
        return all(site in visits and (visits[site].finished or visits[site].skipped) for site in field.sites)

    def days_are_out(self, of: Round, day: date) -> bool:
        """Tell whether the field is due again: `every_days` after the first day of a round."""
        return day >= of.first_day + timedelta(days=plan_of(of.plan).every_days)

    def newest_visits(self, of: Round, by: date | None = None) -> dict[int, VisitFacts]:
        """Give each site's newest visit of a round, up to a day if one is given."""
        rows = sorted(of.visits, key=lambda visit: (visit.day, visit.id))
        return {
            visit.site: self.facts(visit)
            for visit in rows
            if (by is None or visit.day <= by) and holds_something(visit)
        }

    def facts(self, visit: Visit) -> VisitFacts:
        """Give a visit as the rules see it."""
        field = self.season.field_of(visit.site)
        stage = stage_of(visit.stage)
        if stage is None and field is not None:
            stage = self.stage_on(field, visit.day)
        samples = tuple(
            SampleFacts(row.number, row.counts, Fraction(row.effort), row.lost, row.covers or 1)
            for row in standing_samples(visit)
        )
        return VisitFacts(
            site=visit.site,
            day=visit.day,
            plan=plan_of(visit.plan),
            stage=stage,
            rows=tuple(level_of(row) for row in visit.levels),
            samples=samples,
            short=visit.state == VisitState.SHORT,
            skipped=visit.state == VisitState.SKIPPED,
            each=self.effort_of(visit.site, visit.day),
        )

    def effort_of(self, site: int, day: date, moment: datetime | None = None) -> Fraction | None:
        """Give the effort of one sample, in the plan's unit, that was last said for a site on a day.

        With a moment it is the one that was in force then. None where nobody had said one: the plan's holds.
        """
        said = [row for row in efforts_on(self.session, site, day) if moment is None or row.said_at <= moment]
        return Fraction(said[-1].amount) if said else None

    def candidate_rows(self, plan: Plan) -> tuple[Level, ...]:
        """Give the level rows that may govern counts under a plan, whatever the stage turns out to be."""
        targets = {column.target for column in plan.card}
        if not plan.level_wanted:
            return ()
        return tuple(row for row in self.season.levels if row.target in targets and row.method is plan.method)

    def squares_for(self, field: Field, of: Round | None, day: date) -> SquaresOn | None:
        """Give square retention for a round, pooled over a field's sites and their stops.

        That of the newest day of the round; else of the newest of the 7 days before a visit's day.
        """
        if of is not None:
            ends = of.first_day + timedelta(days=plan_of(of.plan).every_days)
            later = round_after(self.session, of)
            before = min(ends, later.first_day) if later else ends
            found = squares_between(self.session, field.number, of.first_day, before)
            if found is not None:
                return found
        return squares_lately(self.session, field.number, day)

    def site_view(self, site: int, day: date) -> SiteView:
        """Give a site as it stands on a day."""
        field = self.sites[site]
        visit = visit_on(self.session, site, day)
        if visit is None or not holds_something(visit):
            plan = self.plan_on(site, day)
            planned = plan.samples if plan is not None else 0
            return SiteView(site, field, day, None, (), self.squares_for(field, None, day), planned)
        squares = self.squares_for(field, visit.round, day)
        facts = self.facts(visit)
        return SiteView(
            site,
            field,
            day,
            facts,
            site_standing(facts, squares, alone=not field.several),
            squares,
            facts.plan.samples,
        )

    def field_view(self, field: Field, by: date | None = None) -> FieldView:
        """Give a field as its newest round stands, or the newest that began by a day."""
        newest = self.newest_round(field, by)
        if newest is None:
            standing = field_standing(field.sites, next(iter(self.season.plans.values())), {}, {}, None)
            return FieldView(
                field, None, None, None, standing, {}, self.squares_for(field, None, by or self.today), False
            )
        visits = self.newest_visits(newest, by)
        plan = plan_of(newest.plan)
        begun = [visit for visit in newest.visits if standing_samples(visit)]
        first = min(begun, key=lambda visit: (visit.day, visit.id), default=None)
        stage = stage_of(first.stage) if first else None
        proposal = False
        if first is not None:
            mark = self.mark_on(field, first.day)
            stage = stage or (mark.on(first.day) if mark else None)
            proposal = mark is not None and mark.proposal
        rows = rows_by_target(plan, [level_of(row) for row in newest.levels], stage)
        last = max((visit.day for visit in visits.values()), default=newest.first_day)
        squares = self.squares_for(field, newest, last)
        standing = field_standing(field.sites, plan, rows, visits, squares)
        over = self.is_over(newest, field, by or self.today)
        return FieldView(
            field, newest.id, newest.first_day, last if over else None, standing, visits, squares, proposal
        )
