"""What comes at its hour: the plan of the morning, the digest of the evening; and what else the machine starts."""

import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime

from bot.whole_season.happening import Caused, Says, Shut, Unreadable
from tests.recount.alerts import Alerts
from tests.recount.day_account import DayAccount, Shown, account_differs
from tests.recount.digest_read import read_digest
from tests.recount.file import Person
from tests.recount.heard import read_standing
from tests.recount.keepers import Keepers
from tests.recount.keeping_out import Word, is_morning, read_keeping_out, read_morning
from tests.recount.other_texts import is_known

PAGE = re.compile(r"^\d/\d\. ")


@dataclass(slots=True)
class Days:
    """The mornings and evenings of a season, each told once."""

    keepers: Keepers
    alerts: Alerts
    begun: set[tuple[str, date]] = field(default_factory=set)
    ended: date | None = None
    by_hand: list[str] = field(default_factory=list)
    """Whose texts need a person since the last digest, a name each."""

    def hears(self, says: Says) -> None:
        """Note a text that a person is to read: a stranger's, an SOS, a grower's own words."""
        person = self.keepers.page.people.get(says.who)
        words = any(
            isinstance(one, Unreadable) or (isinstance(one, Shut) and one.cause == "words")
            for one in says.means
        )
        if person is None:
            self.by_hand.append("a number not ours")
        elif says.text.upper() == "SOS" or (words and "grower" in person.roles):
            self.by_hand.append(person.called)

    def has_ended(self, at: datetime) -> bool:
        """Say whether a day is over by the season's own hour, and it is no time of quiet."""
        return at.time() >= self.keepers.page.day_ends and not self.alerts.quiet(at)

    def evenings(self, at: datetime, caused: list[Caused], shown: Shown) -> list[str]:
        """Hold the digests, which come once a day, where they come or are due."""
        if not self.has_ended(at) or self.ended == at.date():
            return [
                f"not expected: digest to {one.to}: {one.text}" for one in caused if one.purpose == "digest"
            ]
        self.ended = at.date()
        by_hand, self.by_hand = self.by_hand, []
        people = [*self.keepers.page.with_role("leader"), *self.keepers.page.with_role("supervisor")]
        readers = {one.phone: one for one in people if self._reached(one)}
        lines = [f"digest of {one.key}: missing" for one in readers.values() if not _digest(one, caused)]
        for phone in dict.fromkeys(one.to for one in caused if one.purpose == "digest"):
            person = readers.get(phone)
            if person is None:
                lines.append(f"not expected: digest to {phone}")
                continue
            texts = _digest(person, caused)
            expected = DayAccount(self.keepers, self.alerts, person, at, by_hand, shown)
            wrong = account_differs(expected.lines, read_digest(texts, at.year))
            lines += [f"digest of {person.key}, {line}: {' | '.join(texts)}" for line in wrong]
        return lines

    def mornings(self, at: datetime, caused: list[Caused]) -> list[str]:
        """Hold the plans of the morning: sites due, rechecks, closed fields."""
        start, end = self.keepers.page.morning, self.keepers.page.day_ends
        if start is None or not start <= at.time() < end or self.alerts.quiet(at):
            return self.out_of_time(caused)
        lines = []
        people = [*self.keepers.page.with_role("scout"), *self.keepers.page.with_role("leader")]
        new = [one for one in people if self._reached(one) and (one.key, at.date()) not in self.begun]
        phones = {one.phone for one in new}
        lines += [
            f"not expected: plan to {one.to}" for one in caused if _is_plan(one) and one.to not in phones
        ]
        for person in new:
            self.begun.add((person.key, at.date()))
            expected = self.keepers.morning(person, at)
            texts = [one.text for one in caused if one.to == person.phone and one.purpose == "notice"]
            texts = [text for text in texts if is_morning(text) or PAGE.match(text)]
            if not texts and not (expected.due or expected.shut):
                continue
            got = read_morning(texts, at.year)
            lines += [
                f"morning of {person.key}: recount {name} {sorted(mine)}, said {sorted(theirs)}: {' | '.join(texts)}"
                for name, mine, theirs in (
                    ("due", expected.due, got.due),
                    ("recheck", expected.recheck - expected.late, got.recheck - expected.late),
                    ("closed", expected.shut, got.shut),
                )
                if mine != theirs
            ]
        return lines

    def out_of_time(self, caused: list[Caused]) -> list[str]:
        """Give the plans that come at another time than the morning's."""
        return [f"not expected: plan to {one.to}: {one.text}" for one in caused if _is_plan(one)]

    def _reached(self, person: Person) -> bool:
        return person.phone is not None and person.key not in self.alerts.silent


def _is_plan(one: Caused) -> bool:
    return one.purpose == "notice" and is_morning(one.text)


def _digest(person: Person, caused: list[Caused]) -> list[str]:
    return [one.text for one in caused if one.to == person.phone and one.purpose == "digest"]


def unsaid(expected: list[Word], caused: list[Caused], year: int) -> list[str]:
    """Give the differences between what must be said of closed fields and what is said."""
    heard = [word for word in (read_keeping_out(one, year) for one in caused) if word is not None]
    lines = [f"not expected: {word}" for word in (Counter(heard) - Counter(expected)).elements()]
    return lines + [f"missing: {word}" for word in (Counter(expected) - Counter(heard)).elements()]


def unread(caused: list[Caused], year: int) -> list[str]:
    """Give the texts that the machine started and the recount cannot read: nothing may pass by unseen."""
    return [
        f"cannot be read by the recount: {one.purpose} to {one.to}: {one.text}"
        for one in caused
        if one.purpose in ("alert", "notice", "keepout")
        and read_standing(one) is None
        and read_keeping_out(one, year) is None
        and not is_morning(one.text)
        and not is_known(one)
    ]
