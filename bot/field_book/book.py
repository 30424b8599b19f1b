"""What the season and the database say together: stages, plans, rounds, visits and standings of a moment."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from fractions import Fraction

from bot.field_book.cards import Cards
from bot.field_book.keeping import is_kept
from bot.field_book.retention import squares_between, squares_lately
from bot.field_book.shares import shares_of_whole_field, shares_seen
from bot.field_book.snapshots import level_of, plan_of, stage_of
from bot.field_book.stages import Stages
from bot.field_book.views import FieldView, SiteView
from bot.rules import (
    Field,
    Level,
    Person,
    PersonKey,
    Plan,
    SampleFacts,
    Season,
    SiteFigures,
    SquaresOn,
    VisitFacts,
    field_standing,
    rows_by_share,
    rows_by_target,
    share_standing,
    site_standing,
    visit_that_counts,
    with_stop,
)
from parsing import Ground, shipped_words
from storage import (
    EffortRow,
    Round,
    Session,
    Visit,
    VisitState,
    crossed_in,
    efforts_on,
    holds_something,
    round_after,
    rounds_by,
    standing_samples,
    visit_on,
    visits_of_day,
)


class FieldBook(Stages):
    """The book of one moment: a season, a session to read in, and the time now, which is never asked again."""

    def __init__(self, session: Session, season: Season, now: datetime) -> None:
        super().__init__(session, season, now)
        self.sites: dict[int, Field] = {
            site: field for field in season.fields.values() for site in field.sites
        }

    def person(self, key: str) -> Person | None:
        """Give the person that a kept key means, None where the season no longer has one."""
        return self.season.people.get(PersonKey(key))

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

    @is_kept
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

    @is_kept
    def newest_round(self, field: Field, by: date | None = None) -> Round | None:
        """Give a field's newest round that holds a sample, or the newest of those that began by a day."""
        for one in rounds_by(self.session, field.number, by):
            if any(holds_something(visit) for visit in one.visits):
                return one
        return None

    @is_kept
    def is_over(self, of: Round, field: Field, day: date) -> bool:
        """Tell whether a round is over on a day: every site finished or skipped, or its days run out."""
        if self.days_are_out(of, day):
            return True
        visits = self.visits_that_count(of, day)
        return all(site in visits and (visits[site].finished or visits[site].skipped) for site in field.sites)

    def days_are_out(self, of: Round, day: date) -> bool:
        """Tell whether the field is due again: `every_days` after the first day of a round."""
        return day >= of.first_day + timedelta(days=plan_of(of.plan).every_days)

    def newest_visits(self, of: Round, by: date | None = None) -> dict[int, VisitFacts]:
        """Give each site's newest visit of a round, up to a day if one is given."""
        return {site: visits[-1] for site, visits in self._visits(of, by).items()}

    def visits_that_count(self, of: Round, by: date | None = None) -> dict[int, VisitFacts]:
        """Give the visit by which each site counts for a round, of those up to a day if one is given."""
        return {site: visit_that_counts(visits) for site, visits in self._visits(of, by).items()}

    @is_kept
    def _visits(self, of: Round, by: date | None) -> dict[int, list[VisitFacts]]:
        visits: dict[int, list[VisitFacts]] = {}
        for visit in sorted(of.visits, key=lambda visit: (visit.day, visit.id)):
            if (by is None or visit.day <= by) and holds_something(visit):
                visits.setdefault(visit.site, []).append(self.facts(visit))
        return visits

    @is_kept
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
        plan = plan_of(visit.plan)
        facts = VisitFacts(
            site=visit.site,
            day=visit.day,
            plan=plan,
            stage=stage,
            rows=tuple(level_of(row) for row in visit.levels) if visit.round else self.candidate_rows(plan),
            samples=samples,
            short=visit.state == VisitState.SHORT,
            skipped=visit.state == VisitState.SKIPPED,
            each=self.effort_of(visit.site, visit.day),
            shares=shares_seen(self.session, self.season, visit.site, visit.day),
        )
        if facts.plan.stop is None or field is None:
            return facts
        return with_stop(facts, self.squares_for(field, visit.round, visit.day))

    @is_kept
    def effort_of(self, site: int, day: date, moment: datetime | None = None) -> Fraction | None:
        """Give the effort of one sample, in the plan's unit, that was last said for a site on a day.

        With a moment it is the one that was in force then. None where nobody had said one: the plan's holds.
        """
        said = [row for row in self._efforts(site, day) if moment is None or row.said_at <= moment]
        return Fraction(said[-1].amount) if said else None

    @is_kept
    def _efforts(self, site: int, day: date) -> Sequence[EffortRow]:
        return efforts_on(self.session, site, day)

    def candidate_rows(self, plan: Plan) -> tuple[Level, ...]:
        """Give the level rows that may govern counts and shares under a plan, whatever the stage turns out to be."""
        targets = {column.target for column in plan.card}
        if not plan.level_wanted:
            return ()
        return tuple(
            row
            for row in self.season.levels
            if row.share is not None or (row.target in targets and row.method is plan.method)
        )

    @is_kept
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

    @is_kept
    def site_view(self, site: int, day: date) -> SiteView:
        """Give a site as it stands on a day."""
        field = self.sites[site]
        visit = visit_on(self.session, site, day)
        if visit is None or not holds_something(visit):
            plan = self.plan_on(site, day)
            planned = plan.samples if plan is not None else 0
            figures = self._shares_alone(site, day, plan)
            return SiteView(site, field, day, None, figures, self.squares_for(field, None, day), planned)
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

    def _shares_alone(self, site: int, day: date, plan: Plan | None) -> tuple[SiteFigures, ...]:
        """Stand a site of which nothing was sampled that day by the shares that were looked at there."""
        shares = shares_seen(self.session, self.season, site, day)
        if plan is None or not shares:
            return ()
        stage = self.stage_on(self.sites[site], day)
        return share_standing(
            VisitFacts(site, day, plan, stage, self.candidate_rows(plan), samples=(), shares=shares)
        )

    @is_kept
    def field_view(self, field: Field, by: date | None = None) -> FieldView:
        """Give a field as its newest round stands, or the newest that began by a day."""
        newest = self.newest_round(field, by)
        if newest is None:
            standing = field_standing(field.sites, next(iter(self.season.plans.values())), {}, {}, None)
            return FieldView(
                field, None, None, None, standing, {}, self.squares_for(field, None, by or self.today), False
            )
        return self.round_view(field, newest, by)

    @is_kept
    def round_view(self, field: Field, of: Round, by: date | None = None) -> FieldView:
        """Give a field as a round of it that holds something stands, by its visits up to a day if one is given."""
        visits = self.visits_that_count(of, by)
        plan = plan_of(of.plan)
        begun = [visit for visit in of.visits if standing_samples(visit)]
        first = min(begun, key=lambda visit: (visit.day, visit.id), default=None)
        stage = stage_of(first.stage) if first else None
        proposal = False
        if first is not None:
            mark = self.mark_on(field, first.day)
            stage = stage or (mark.on(first.day) if mark else None)
            proposal = mark is not None and mark.proposal
        levels = [level_of(row) for row in of.levels]
        last = max((visit.day for visit in visits.values()), default=of.first_day)
        whole = shares_of_whole_field(self.session, self.season, field, of.first_day, last)
        seen = [share.key for visit in visits.values() for share in visit.shares]
        seen += [share.key for share in whole]
        # a share that crossed and was taken back since must be seen to be gone
        seen += sorted(crossed_in(self.session, of.id) & set(self.season.shares))
        rows = rows_by_target(plan, levels, stage) | rows_by_share(seen, levels, stage)
        # of the days before the round began: squares that were good for one of its sites stay good for the field
        squares = self.squares_for(field, of, of.first_day)
        standing = field_standing(field.sites, plan, rows, visits, squares, whole)
        over = self.is_over(of, field, by or self.today)
        return FieldView(
            field, of.id, of.first_day, last if over else None, standing, visits, squares, proposal
        )
