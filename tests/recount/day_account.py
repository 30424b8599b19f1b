"""What the digest of a person must hold: fields above, in range, not done, closed, squares asked, totals."""

import re
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from tests.recount.alerts import Alerts
from tests.recount.crossings import figure
from tests.recount.digest_read import ORDER, Account
from tests.recount.due import sites_due
from tests.recount.fields import FieldState, field_state
from tests.recount.file import Field, Person
from tests.recount.heard import fits, level_said
from tests.recount.keepers import Keepers
from tests.recount.keeping_out import until_said
from tests.recount.rounds import FieldRecord
from tests.recount.stages import plan_on, stage_on

HELD = ("above", "waits", "range", "close", "notdone", "shut", "byhand", "squares", "totals", "late")
"""Of late changes none is expected: the season has none, and what comes all the same is a disagreement."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A line about a figure: what stands before it, the exact figure, what stands after."""

    before: str
    exact: Fraction
    after: str

    def is_said(self, item: str) -> bool:
        """Say whether a read item is this line, its figure rounded."""
        found = re.match(rf"{re.escape(self.before)} ([\d.]+)(.*)$", item)
        return found is not None and fits(found[1], self.exact) and found[2] == self.after

    def __str__(self) -> str:
        """Say it with six digits."""
        return f"{self.before} {float(self.exact):.6g}{self.after}"


Line = Figure | str
Shown = dict[int, dict[str, Any]]
"""What `show` says of the sites, by number."""


class DayAccount:
    """The account of a day for one person."""

    def __init__(
        self, keepers: Keepers, alerts: Alerts, person: Person, at: datetime, by_hand: list[str], shown: Shown
    ) -> None:
        self.keepers = keepers
        self.shown = shown
        self.alerts = alerts
        self.person = person
        self.at = at
        self.day: date = at.date()
        self.lines: dict[str, list[Line]] = {section: [] for section in HELD}
        self.ranked: list[tuple[Fraction, Line]] = []
        self.done = self.sites = self.samples = self.planned = self.spared = 0
        for of in keepers.page.fields.values():
            mine = self._mine(of)
            if mine:
                self._field(of, mine)
        self.lines["above"] = [line for _, line in sorted(self.ranked, key=lambda each: -each[0])]
        if by_hand:
            texts = "1 text" if len(by_hand) == 1 else f"{len(by_hand)} texts"
            *others, last = dict.fromkeys(by_hand)
            names = f"{', '.join(others)} and {last}" if others else last
            self.lines["byhand"] = [f"{texts} ({names})"]
        if self.sites:
            spared = f", {self.spared} not needed" if self.spared else ""
            self.lines["totals"] = [f"{self.done} of {self.sites}, {self.samples} of {self.planned}{spared}"]

    def _mine(self, of: Field) -> list[int]:
        if "supervisor" in self.person.roles:
            return list(of.sites) if self.person in self.keepers.page.supervisors_of(of) else []
        return [
            site for site in of.sites if set(self.person.crew) & set(self.keepers.hands(of, site, self.day))
        ]

    def _field(self, of: Field, mine: list[int]) -> None:
        record = self.keepers.record(of.number, self.day)
        until = self.keepers.closures.until(of.number, self.at)
        if until is not None:
            self.lines["shut"].append(f"{of.number} {until_said(until)}")
        waiting = [
            one.event.target for one in self.alerts.pending if one.event.field == of.number and one.waits
        ]
        self.lines["waits"] += [f"{of.number} {target}" for target in waiting]
        visits = record.ledger.visits(self.day)
        if any(site in visits and visits[site].begun for site in of.sites) and record.rounds:
            self._standings(of, record)
        due = sites_due(record, self.keepers.closures, self.day) if until is None else {}
        for site in mine:
            self._close_calls(site)
            self._site(of, record, site, site in due)

    def _close_calls(self, site: int) -> None:
        """Take what `show` calls close: the interval that says so is held against other libraries elsewhere."""
        for one in self.shown[site]["levels"]:
            if one["close_call"]:
                name = f"{site} {one.get('target') or one['share']}"
                level = level_said(Fraction(str(one["low"])), Fraction(str(one["high"])))
                self.lines["close"].append(Figure(name, Fraction(one["density"]), f", level {level}"))

    def _standings(self, of: Field, record: FieldRecord) -> None:
        state = field_state(record)
        for one in state.levels:
            density = figure(one, state)
            if not one.certain or not one.seen or density is None:
                continue
            name = f"{of.number} {one.row.target}"
            if one.standing == "above":
                told = self._told(of.number, one.row.target)
                if density >= one.high:
                    self.ranked.append(
                        (density / one.high, Figure(name, density / one.high, f" x level, {told}"))
                    )
                else:
                    self.ranked.append((Fraction(0), f"{name} by squares, {told}"))
            elif one.standing == "in range":
                self.lines["range"].append(Figure(name, density, f", level {level_said(one.low, one.high)}"))
        self._squares(of, state)

    def _told(self, number: int, target: str) -> str:
        if any((one.event.field, one.event.target) == (number, target) for one in self.alerts.pending):
            return "not told yet"
        alerts = [
            one
            for one in self.alerts.left
            if one.number == number and any(event.target == target for event in one.stands)
        ]
        newest = [one for one in alerts if one.left == max(each.left for each in alerts)]
        if not newest:
            return "not told yet"
        unread = [one for one in newest if one.read is None]
        if unread:
            return f"NOT READ since {_clock(unread[0].left)}, call"
        return f"read {_clock(max(one.read for one in newest if one.read is not None))}"

    def _squares(self, of: Field, state: FieldState) -> None:
        wanted = any(
            one.needs == "squares" or (one.row.mark is not None and one.row.mark[2] in ("or", "halve"))
            for one in state.levels
        )
        if wanted and state.squares is None:
            self.lines["squares"].append(str(of.number))

    def _site(self, of: Field, record: FieldRecord, site: int, due: bool) -> None:
        visit = record.ledger.visits(self.day).get(site)
        own = record.round_of(visit) if visit is not None else None
        who = ", ".join(
            self.keepers.page.people[key].called for key in self.keepers.hands(of, site, self.day)
        )
        if visit is not None and own is not None and visit.begun:
            state = record.state(own, visit)
            self.sites += 1
            self.planned += own.plan.samples
            self.samples += len(visit.samples)
            sure = record.is_sure(own, visit)
            if state in ("done", "short") or sure:
                self.done += 1
            if state == "done" or sure:
                self.spared += own.plan.samples - len(visit.samples)
                return
            reason = f", {visit.short}" if visit.short else ""
            by = self.keepers.page.people[max(visit.samples.values(), key=lambda each: each.at).by].called
            self.lines["notdone"].append(f"{site} {len(visit.samples)} of {own.plan.samples}{reason} ({by})")
            return
        skipped = visit is not None and visit.skipped is not None
        if not due and not skipped:
            return
        plan = plan_on(record.season, of, stage_on(of, record.said, self.day))
        self.sites += 1
        self.planned += plan.samples if plan else 0
        if skipped and visit is not None:
            reason = f", {visit.skipped}" if visit.skipped else ""
            self.lines["notdone"].append(f"{site} not sampled{reason} ({who})")
        else:
            self.lines["notdone"].append(f"{site} not begun ({who})")


def _clock(at: datetime) -> str:
    return f"{at.hour}:{at.minute:02}"


def account_differs(lines: dict[str, list[Line]], got: Account) -> list[str]:
    """Give how a digest differs from the account: only what three full texts left no room for may be missing."""
    shown = [section for section in ORDER if section in got.items]
    last = shown[-1] if got.more and shown else None
    found = []
    for section in HELD:
        mine, theirs = lines[section], got.items.get(section, [])
        if last is not None and ORDER.index(section) > ORDER.index(last):
            continue
        if last == section:
            mine = mine[: len(theirs)]
        if len(mine) != len(theirs) or not all(
            _is_said(one, item) for one, item in zip(mine, theirs, strict=True)
        ):
            found.append(
                f"{section}: recount {'; '.join(map(str, mine)) or 'nothing'}, said {'; '.join(theirs) or 'nothing'}"
            )
    return found


def _is_said(line: Line, item: str) -> bool:
    return (
        line.is_said(item) if isinstance(line, Figure) else line == re.sub(r", silent since [\d:]+", "", item)
    )
