"""Who must be told of a closed field, from the pages' rule: who has it today, is in it, or counted there today."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

from bot.whole_season.happening import Counted, Fixed, Opened, Says, Shut
from tests.recount.closures import Closures, Warned
from tests.recount.due import rechecked_from, sites_due
from tests.recount.file import Field, Person, SeasonPage, in_gsm
from tests.recount.handovers import Handovers
from tests.recount.keeping_out import Morning, Word, until_said
from tests.recount.rounds import FieldRecord
from tests.recount.stages import plan_on, stage_on

Record = Callable[[int, date], FieldRecord]


@dataclass(slots=True)
class Keepers:
    """The people of a season and the closed fields that they must hear of."""

    page: SeasonPage
    closures: Closures
    record: Record
    handed: Handovers
    silent: set[str]

    def leaders_of(self, person: str) -> list[Person]:
        """Give who leads a person."""
        return [one for one in self.page.with_role("leader") if person in one.crew]

    def hands(self, of: Field, site: int, day: date) -> list[str]:
        """Give who has a site: whom it was handed to, else the field's scouts."""
        return self.handed.hands(self.record(of.number, day), site)

    def there(self, of: Field, at: datetime) -> list[str]:
        """Give who may be in a field: in today's plan, with an open visit, or counts from it today."""
        record = self.record(of.number, at.date())
        people: list[str] = []
        begun = [
            site
            for site, visit in record.ledger.visits(at.date()).items()
            if visit.begun and site in of.sites
        ]
        for site in dict.fromkeys([*sites_due(record, self.closures, at.date()), *begun]):
            people += self.hands(of, site, at.date())
        for entry in record.ledger.entries:
            if (
                isinstance(entry.what, Counted)
                and entry.what.site in of.sites
                and entry.at.date() == at.date()
            ):
                people.append(entry.what.by)
        return [
            key for key in dict.fromkeys(people) if key in self.page.people and self.page.people[key].active
        ]

    def shut(self, means: Shut, says: Says, at: datetime) -> list[Word]:
        """Close a field and give what is said of it at once."""
        of = self.page.fields[means.field]
        told = [key for key in self.there(of, at) if key != says.who]
        beside = {
            number: [key for key in self.there(self.page.fields[number], at) if key != says.who]
            for number in of.beside
        }
        self.closures.shut(means, at, says.sent)
        until = until_said(self.closures.until(of.number, at))
        words: list[Word] = []
        for key in told:
            words += self._warn(key, of.number, None, at, until)
        for number, people in beside.items():
            for key in people:
                if key not in told:
                    words += self._warn(key, number, of.number, at, str(of.number))
        by = self.page.people.get(says.who)
        names = ", ".join(sorted(self.page.people[key].called for key in told if self._reached(key)))
        parts = [until, in_gsm(by.name) if by else says.who, f"told {names}" if names else ""]
        words += [
            Word(one.phone, "shut", of.number, "; ".join(part for part in parts if part))
            for one in [*self.page.supervisors_of(of), *self.leaders_of(says.who)]
            if one.phone is not None and one.key != says.who and one.key not in self.silent
        ]
        if means.hours is None and says.who not in of.growers:
            name = in_gsm(by.name) if by else says.who
            growers = [self.page.people[key] for key in of.growers if key not in self.silent]
            words += [
                Word(one.phone, "hours asked", of.number, name) for one in growers if one.phone is not None
            ]
        return words

    def opened(self, means: Opened, at: datetime) -> list[Word]:
        """Open a field, or give it hours; give what those hear who were told to keep out."""
        since = min((one.at for one in self.closures.active(means.field, at)), default=at)
        warned = [one for one in self.closures.warned if one.field == means.field and one.at >= since]
        told = [one.person for one in warned if one.beside is None]
        people = [key for key in dict.fromkeys(told) if key != means.by and self._reached(key)]
        self.closures.open(means, at)
        until = self.closures.until(means.field, at)
        if until is not None:
            there = [key for key in self.there(self.page.fields[means.field], at) if key != means.by]
            return [
                word for key in there for word in self._warn(key, means.field, None, at, until_said(until))
            ]
        phones = [self.page.people[key].phone for key in people]
        name = self.page.people[means.by].called
        return [Word(phone, "opened", means.field, name) for phone in phones if phone is not None]

    def _reached(self, key: str) -> bool:
        return self.page.people[key].phone is not None and key not in self.silent

    def _warn(self, key: str, number: int, beside: int | None, at: datetime, says: str) -> list[Word]:
        person = self.page.people[key]
        warned = Warned(key, number, at, beside)
        self.closures.warned.append(warned)
        if person.phone is None or key in self.silent:
            warned.called = True
            return self._call(warned)
        return [Word(person.phone, "keep out" if beside is None else "beside", number, says)]

    def _call(self, warned: Warned) -> list[Word]:
        of = self.page.fields[warned.field]
        name = in_gsm(self.page.people[warned.person].name)
        people = [*self.page.supervisors_of(of), *self.leaders_of(warned.person)]
        return [
            Word(one.phone, "call", of.number, name)
            for one in people
            if one.phone is not None and one.key not in self.silent
        ]

    def by_hand(self, says: Says) -> list[Word]:
        """Give who is told of a grower's words that nobody but a person can read."""
        person = self.page.people.get(says.who)
        if person is None or "grower" not in person.roles:
            return []
        fields = [of for of in self.page.fields.values() if person.key in of.growers]
        people = {one.key: one for of in fields for one in self.page.supervisors_of(of)}
        return [
            Word(one.phone, "by hand", 0, in_gsm(person.name))
            for one in people.values()
            if one.phone is not None and one.key not in self.silent
        ]

    def counted(self, says: Says, means: Counted | Fixed, at: datetime) -> list[Word]:
        """Give what is said where somebody counts in a closed field: once a person, field and day."""
        of = self.page.field_of(means.site)
        assert of is not None
        key = (says.who, of.number, at.date())
        if self.closures.until(of.number, at) is None or key in self.closures.counted_in:
            return []
        self.closures.counted_in.add(key)
        person = self.page.people[says.who]
        people = [*self.page.supervisors_of(of), *self.leaders_of(says.who)]
        return [
            Word(one.phone, "counted in", of.number, in_gsm(person.name))
            for one in people
            if one.phone is not None and one.key != says.who and one.key not in self.silent
        ]

    def strikes(self, at: datetime, quiet: bool) -> list[Word]:
        """Give whom to call, at any hour, and which hours are over, outside quiet hours."""
        words = [word for warned in self.closures.to_call(at) for word in self._call(warned)]
        if quiet:
            return words
        for closure in self.closures.just_over(at):
            of = self.page.fields[closure.field]
            record = self.record(of.number, at.date())
            plan = plan_on(self.page, of, stage_on(of, record.said, at.date())) or next(
                iter(self.page.plans.values())
            )
            start = rechecked_from(self.closures, of.number, plan.recheck[0], at)
            if start is None:
                continue
            told = {
                one.person
                for one in self.closures.warned
                if one.field == of.number and one.beside is None and one.at >= closure.recorded
            }
            people = [*self.page.supervisors_of(of), *(self.page.people[key] for key in sorted(told))]
            words += [
                Word(one.phone, "over", of.number, f"{closure.hours} h; {start.isoformat()}")
                for one in people
                if one.phone is not None and one.key not in self.silent
            ]
        return words

    def morning(self, person: Person, at: datetime) -> Morning:
        """Give what a person's plan of the morning must name."""
        crew = set(person.crew) | {person.key}
        due: set[int] = set()
        recheck: set[int] = set()
        late: set[int] = set()
        shut: set[tuple[int, str]] = set()
        for of in self.page.fields.values():
            record = self.record(of.number, at.date())
            begun = record.ledger.visits(at.date())
            ours = [
                site
                for site in of.sites
                if crew & set(self.hands(of, site, at.date()))
                or (site in begun and any(one.by == person.key for one in begun[site].samples.values()))
            ]
            until = self.closures.until(of.number, at)
            if until is not None and ours:
                shut.add((of.number, until_said(until)))
            if until is not None:
                continue
            for site, why in sites_due(record, self.closures, at.date()).items():
                if site in ours:
                    due.add(site)
                    if why == "recheck":
                        recheck.add(site)
                    elif why == "late recheck":
                        late.add(site)
        return Morning(frozenset(due), frozenset(recheck), frozenset(shut), frozenset(late))
