"""What texts put in, and what is in at a site on a day once corrections are through."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction

from bot.whole_season.happening import Counted, Counts, Fixed, LeftShort, Moved, Shared, Skipped
from tests.recount.file import Plan

PutIn = Counted | Fixed | Moved | Shared | LeftShort | Skipped


@dataclass(slots=True)
class Entry:
    """A thing that a text put in, until it is taken back."""

    text: str
    at: datetime
    by: str
    what: PutIn
    stands: bool = True


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample that is in: its counts by code, its own effort where it is not the plan's, and who sent it when."""

    counts: Counts
    each: int | None
    by: str
    at: datetime


@dataclass(slots=True)
class Visit:
    """A site on a day: samples by number, lost ones, shares, and how it was ended."""

    site: int
    day: date
    samples: dict[int, Sample] = field(default_factory=dict)
    lost: set[int] = field(default_factory=set)
    shares: dict[str, tuple[int, int]] = field(default_factory=dict)
    each: int | None = None
    short: str | None = None
    skipped: str | None = None
    first_at: datetime | None = None
    last_at: datetime | None = None

    @property
    def begun(self) -> bool:
        """Say whether any sample was texted, a lost one too."""
        return bool(self.samples or self.lost)


class Ledger:
    """All that came in, in the order in which it came; a day is put together anew when something changes in it."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.changes = 0
        self._by_day: dict[date, list[Entry]] = {}
        self._made: dict[date, dict[int, Visit]] = {}

    def put(self, entry: Entry) -> None:
        """Add what a text put in."""
        self.entries.append(entry)
        self.changes += 1
        self._by_day.setdefault(entry.what.day, []).append(entry)
        self._made.pop(entry.what.day, None)

    def take_back(self, text: str) -> list[Entry]:
        """Take a text's entries out again and give them."""
        gone = [entry for entry in self.entries if entry.text == text and entry.stands]
        self.changes += 1
        for entry in gone:
            entry.stands = False
            self._made.pop(entry.what.day, None)
        return gone

    def visits(self, day: date) -> dict[int, Visit]:
        """Give the visits of a day by site."""
        if day not in self._made:
            self._made[day] = _put_together(entry for entry in self._by_day.get(day, ()) if entry.stands)
        return self._made[day]

    def days_of(self, sites: Iterable[int]) -> list[date]:
        """Give the days on which anything is in at one of these sites, in order."""
        wanted = set(sites)
        return [day for day in sorted(self._by_day) if wanted & set(self.visits(day))]


def _put_together(entries: Iterable[Entry]) -> dict[int, Visit]:
    visits: dict[int, Visit] = {}
    for entry in entries:
        what = entry.what
        visit = visits.setdefault(what.site, Visit(what.site, what.day))
        match what:
            case Counted():
                _count(visit, entry, what)
            case Fixed():
                old = visit.samples.get(what.sample)
                visit.samples[what.sample] = Sample(
                    what.counts, old.each if old else visit.each, entry.by, entry.at
                )
                visit.lost.discard(what.sample)
                visit.first_at = visit.first_at or entry.at
                visit.last_at = visit.last_at or entry.at
            case Moved():
                _move(visit, visits.setdefault(what.to, Visit(what.to, what.day)), what, entry)
            case Shared():
                visit.shares[what.code] = (what.n, what.of)
            case LeftShort():
                visit.short = what.reason
                visit.last_at = entry.at
            case Skipped():
                visit.skipped = what.reason
                visit.last_at = entry.at
    return visits


def _count(visit: Visit, entry: Entry, what: Counted) -> None:
    visit.short = None
    visit.skipped = None
    visit.each = what.each
    visit.first_at = visit.first_at or entry.at
    visit.last_at = entry.at
    for number, counts in what.samples.items():
        if counts is None:
            visit.lost.add(number)
            visit.samples.pop(number, None)
        else:
            visit.samples[number] = Sample(counts, what.each, what.by, entry.at)
            visit.lost.discard(number)


def _move(visit: Visit, other: Visit, what: Moved, entry: Entry) -> None:
    for number in what.samples:
        if number in visit.samples:
            other.samples[number] = visit.samples.pop(number)
        elif number in visit.lost:
            visit.lost.discard(number)
            other.lost.add(number)
    other.last_at = entry.at
    other.first_at = min(
        (one for one in (other.first_at, *(sample.at for sample in other.samples.values())) if one),
        default=entry.at,
    )


def whole(sample: Sample, plan: Plan) -> dict[str, int | None]:
    """Give a sample with every column of the card, zero where none was said."""
    return {code: sample.counts.get(code, 0) for code in plan.card}


def extras(sample: Sample, plan: Plan) -> dict[str, int]:
    """Give what was counted beside the card."""
    return {code: count for code, count in sample.counts.items() if code not in plan.card and count}


def effort(each: int | None, plan: Plan, unit: str) -> Fraction:
    """Give the effort of one sample: its own, else the plan's."""
    return Fraction(each) if each is not None else plan.each[unit]


def is_finished(visit: Visit, plan: Plan) -> bool:
    """Say whether all planned samples are in, or the visit was ended short."""
    return visit.begun and (len(visit.samples) >= plan.samples or visit.short is not None)


def state_of(visit: Visit | None, plan: Plan, stopped: bool) -> str:
    """Give the state of a visit: none, open, done or short."""
    if visit is None or not visit.begun:
        return "none"
    if len(visit.samples) >= plan.samples or stopped:
        return "done"
    return "short" if visit.short is not None else "open"


def counted_in(visit: Visit, codes: Mapping[str, Fraction]) -> list[Sample]:
    """Give the samples in which all these columns were counted, by number."""
    return [
        sample
        for _, sample in sorted(visit.samples.items())
        if all(sample.counts.get(code, 0) is not None for code in codes)
    ]
