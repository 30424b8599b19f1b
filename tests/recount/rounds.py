"""The rounds of a field: which visits belong together, with which plan, row and squares."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction

from tests.recount.file import UNITS, Field, Level, Plan, SeasonPage
from tests.recount.stages import Stage, StageSaid, plan_on, rows_on, stage_of_first
from tests.recount.standings import Squares, Stands, columns, halved, stands, stop_lines, sum_of
from tests.recount.visits import Ledger, Visit, counted_in, effort, state_of


@dataclass(slots=True)
class Round:
    """One pass over a field's sites: its first day, its plan, the rows of its first sample, its visits."""

    first: date
    plan: Plan
    stage: Stage
    rows: list[Level]
    visits: list[Visit] = field(default_factory=list)
    skips: dict[int, Visit] = field(default_factory=dict)


class FieldRecord:
    """A field put together from the ledger as of a day."""

    def __init__(
        self, season: SeasonPage, of: Field, ledger: Ledger, said: list[StageSaid], day: date
    ) -> None:
        self.season = season
        self.of = of
        self.day = day
        self.said = said
        self.ledger = ledger
        self.days = [one for one in ledger.days_of({*of.sites, of.number}) if one <= day]
        self.rounds: list[Round] = []
        for one in self.days:
            self._add(one)

    def _add(self, day: date) -> None:
        today = [visit for site, visit in self.ledger.visits(day).items() if site in self.of.sites]
        for visit in sorted((one for one in today if one.begun), key=lambda one: str(one.first_at)):
            newest = self.rounds[-1] if self.rounds else None
            if (
                newest is None
                or self.is_over(newest, day - timedelta(1))
                or self._through_before(newest, visit)
            ):
                stage = self.stage_of(visit)
                plan = plan_on(self.season, self.of, stage)
                if plan is None:
                    continue
                newest = Round(
                    day, plan, stage, rows_on(self.season, plan, stage) if plan.wants_level else []
                )
                self.rounds.append(newest)
            newest.visits.append(visit)
        if self.rounds and (
            self.rounds[-1].first == day or not self.is_over(self.rounds[-1], day - timedelta(1))
        ):
            for visit in today:
                if visit.skipped is not None and not visit.begun:
                    self.rounds[-1].skips[visit.site] = visit

    def stage_of(self, visit: Visit) -> Stage:
        """Give the stage of a visit: that of its first sample."""
        assert visit.first_at is not None
        return stage_of_first(self.of, self.said, visit.day, visit.first_at)

    def running(self, day: date) -> Round | None:
        """Give the round that is open on a day, before anything of that day."""
        newest = self.rounds[-1] if self.rounds else None
        return newest if newest is not None and not self.is_over(newest, day - timedelta(1)) else None

    def is_over(self, one: Round, at_end_of: date) -> bool:
        """Say whether a round is over at the end of a day."""
        if at_end_of >= one.first + timedelta(one.plan.every_days - 1):
            return True
        return self.is_through(one, at_end_of)

    def is_through(self, one: Round, at_end_of: date) -> bool:
        """Say whether every site of a round has a finished visit or was skipped."""
        return all(
            any(
                visit.site == site and visit.day <= at_end_of and self.ended(one, visit)
                for visit in one.visits
            )
            or (site in one.skips and one.skips[site].day <= at_end_of)
            for site in self.of.sites
        )

    def _through_before(self, one: Round, new: Visit) -> bool:
        """Say whether a round was through on the day of a new visit, before its first sample."""
        today = [
            visit
            for visit in self.ledger.visits(new.day).values()
            if visit.skipped is not None and not visit.begun
        ]
        through = {visit.site for visit in one.visits if self.ended(one, visit) and _before(visit, new)}
        through |= {site for site, visit in one.skips.items() if _before(visit, new)}
        through |= {visit.site for visit in today if _before(visit, new) and visit.site in self.of.sites}
        return bool(one.visits) and set(self.of.sites) <= through

    def ended(self, one: Round, visit: Visit) -> bool:
        """Say whether a visit is finished."""
        return self.state(one, visit) in ("done", "short")

    def state(self, one: Round, visit: Visit) -> str:
        """Give a visit's state, stop lines too."""
        return state_of(visit, one.plan, self.stopped(one, visit))

    def stopped(self, one: Round, visit: Visit) -> bool:
        """Say whether a sequential visit has come to a line, with its density on that line's side."""
        stop = one.plan.stop
        if stop is None:
            return False
        codes = {code: Fraction(1) for code in self.season.targets[stop["target"]] if code in one.plan.card}
        taken = counted_in(visit, codes)
        unit = UNITS[str(stop["per"]).split(" ", 1)[1]]
        if len(taken) < stop["at_least"] or any(
            effort(each.each, one.plan, unit) != one.plan.each[unit] for each in taken
        ):
            return False
        slope, low, high = stop_lines(one.plan)
        total = sum((sample.counts.get(code) or 0) for sample in taken for code in codes)
        on_low, on_high = total <= slope * len(taken) - low, total >= slope * len(taken) + high
        row = next((row for row in one.rows if row.target == stop["target"]), None)
        if not (on_low or on_high) or row is None:
            return on_low or on_high
        mark, top = halved(row, self.squares(one, visit.day))
        density = sum_of(
            visit, one.plan, columns(self.season, one.plan, row), row.per, UNITS[row.unit]
        ).density
        return density is not None and ((on_low and density < mark) or (on_high and density >= top))

    def squares(self, one: Round | None, day: date) -> Squares | None:
        """Give the squares that govern a visit: of the newest day of its round, else of the week before it."""
        last = self._end(one) if one is not None else day
        first = one.first if one is not None else day
        with_squares = [each for each in self.days if self._pooled(each) is not None]
        in_round = [each for each in with_squares if first <= each <= last]
        if in_round:
            return self._pooled(in_round[-1])
        before = [each for each in with_squares if day - timedelta(7) <= each < day]
        return self._pooled(before[-1]) if before else None

    def _end(self, one: Round) -> date:
        place = self.rounds.index(one) if one in self.rounds else -1
        if 0 <= place < len(self.rounds) - 1:
            return min(self.rounds[place + 1].first, one.first + timedelta(one.plan.every_days)) - timedelta(
                1
            )
        return one.first + timedelta(one.plan.every_days - 1)

    def _pooled(self, day: date) -> Squares | None:
        visits = self.ledger.visits(day)
        of_sites = [
            visits[site].shares["SQ"]
            for site in self.of.sites
            if site in visits and "SQ" in visits[site].shares
        ]
        if not of_sites and self.of.number in visits and "SQ" in visits[self.of.number].shares:
            of_sites = [visits[self.of.number].shares["SQ"]]
        return Squares(sum(n for n, _ in of_sites), sum(of for _, of in of_sites)) if of_sites else None

    def round_of(self, visit: Visit) -> Round | None:
        """Give the round that a visit belongs to."""
        return next((one for one in self.rounds if visit in one.visits), None)

    def is_sure(self, one: Round, visit: Visit) -> bool:
        """Say whether a field's only site is certain by what is in, whatever is still to come."""
        if len(self.of.sites) > 1:
            return False
        squares = self.squares(one, visit.day)
        rows = [row for row in one.rows if not row.is_share]
        return any(
            stands(self.season, visit, one.plan, row, squares, state="open", alone=True).certain
            for row in rows
        )

    def site_stands(self, one: Round, visit: Visit | None, row: Level) -> Stands:
        """Give how a visit stands to a row of its round."""
        return stands(
            self.season,
            visit,
            one.plan,
            row,
            self.squares(one, visit.day if visit else self.day),
            state="none" if visit is None else self.state(one, visit),
            alone=len(self.of.sites) == 1,
        )


def _before(visit: Visit, new: Visit) -> bool:
    return visit.day < new.day or str(visit.last_at) < str(new.first_at)
