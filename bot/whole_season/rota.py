"""What is due where: the stages and rounds as the crew knows them, so that everybody goes where the plan sends him."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.rules import Field, Phase, Plan, Season, Stage, StageMark, governing_mark
from bot.whole_season.courses import COURSES
from bot.whole_season.world import FIRST_DAY


@dataclass(slots=True)
class Pass:
    """One going over a field's sites with one plan."""

    first: date
    plan: Plan
    over: set[int] = field(default_factory=set)
    visited: dict[int, date] = field(default_factory=dict)

    def runs_out(self) -> date:
        """Give the day on which the field is due again."""
        return self.first + timedelta(days=self.plan.every_days)


@dataclass(slots=True)
class Rota:
    """Stages, rounds and what is due, by field."""

    season: Season
    passes: dict[int, Pass] = field(default_factory=dict)
    marks: dict[int, list[StageMark]] = field(default_factory=dict)
    treated: dict[int, date] = field(default_factory=dict)
    handed: dict[int, str] = field(default_factory=dict)
    skipped: dict[int, date] = field(default_factory=dict)

    def stage(self, number: int, day: date) -> Stage | None:
        """Give a field's stage on a day, by its dates and by what was texted."""
        dates = self.season.fields[number].stage_dates
        mark = governing_mark([*dates, *self.marks.get(number, [])], day)
        return mark.on(day) if mark is not None else None

    def say_stage(
        self, number: int, day: date, phase: Phase, week: int | None = None, *, proposal: bool = False
    ) -> None:
        """Remember that somebody named a field's stage; without a week it counts on from the one known, else from 1."""
        known = self.stage(number, day)
        counted = known.week if known is not None and known.phase is phase and known.week else 1
        self.marks.setdefault(number, []).append(StageMark(day, phase, week or counted, proposal))

    def open_pass(self, number: int, day: date) -> Pass | None:
        """Give the round that a field has open on a day."""
        found = self.passes.get(number)
        sites = self.season.fields[number].sites
        if found is None or day >= found.runs_out() or all(site in found.over for site in sites):
            return None
        return found

    def plan(self, number: int, day: date) -> Plan | None:
        """Give the plan that counts go by; None where that turns on a stage nobody has named."""
        under = self.open_pass(number, day)
        if under is not None:
            return under.plan
        key = self.season.fields[number].plan_for(self.stage(number, day))
        return self.season.plans[key] if key is not None else None

    def begin(self, number: int, site: int, day: date, plan: Plan) -> None:
        """Remember that counts of a site are in."""
        under = self.open_pass(number, day)
        if under is None:
            # sites that were skipped earlier that day belong to the round that begins
            over = {one for one, when in self.skipped.items() if when == day and one in self._sites(number)}
            under = self.passes[number] = Pass(day, plan, over)
        self.skipped.pop(site, None)
        under.over.discard(site)
        under.visited[site] = day

    def end(self, number: int, site: int) -> None:
        """Remember that a site is finished."""
        if (under := self.passes.get(number)) is not None:
            under.over.add(site)

    def skip(self, number: int, site: int, day: date) -> None:
        """Remember that a site was skipped, in the round that is open or in the one that begins later that day."""
        if (under := self.open_pass(number, day)) is not None:
            under.over.add(site)
            under.visited.pop(site, None)
        else:
            self.skipped[site] = day

    def _sites(self, number: int) -> tuple[int, ...]:
        return self.season.fields[number].sites

    def due(self, field_: Field, day: date) -> list[int]:
        """Give the sites of a field that are due on a day."""
        last = self.passes.get(field_.number)
        if last is None:
            begins = FIRST_DAY + timedelta(days=COURSES[field_.number].weekday)
            return list(field_.sites) if day >= begins else []
        if day >= last.runs_out():
            return list(field_.sites)
        treated = self.treated.get(field_.number)
        again = treated is not None and day >= treated + timedelta(days=min(last.plan.recheck_days))
        if again and treated is not None:
            since = treated + timedelta(days=min(last.plan.recheck_days))
            return [site for site in field_.sites if last.visited.get(site, treated) < since]
        return [site for site in field_.sites if site not in last.visited and last.first < day]
