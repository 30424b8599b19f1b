"""The recount of a season: it hears every happening's meaning, and holds what came of it against the pages."""

from collections.abc import Callable
from datetime import date, datetime, time

from bot.whole_season.happening import (
    CameBack,
    Caused,
    Counted,
    Fixed,
    HandedOver,
    Happening,
    HeldBack,
    HoursAreAll,
    LeftShort,
    Meaning,
    Moved,
    Opened,
    OptedOut,
    Reloads,
    SaidOk,
    Says,
    SentOn,
    Shared,
    Shut,
    Skipped,
    Staged,
    Strikes,
    TakenBack,
    Unreadable,
)
from tests.recount.alerts import Alerts
from tests.recount.closures import Closures
from tests.recount.comparing import differences
from tests.recount.crossings import Crossings, Event, newest
from tests.recount.day_account import Shown
from tests.recount.days import Days, unread, unsaid
from tests.recount.expected import Expected, unmet
from tests.recount.fields import field_state
from tests.recount.file import SeasonPage, read_page
from tests.recount.handovers import Handover, Handovers
from tests.recount.keepers import Keepers
from tests.recount.keeping_out import Word
from tests.recount.rounds import FieldRecord
from tests.recount.shown import show_field, show_site
from tests.recount.stages import UNKNOWN, StageSaid, stage_on
from tests.recount.visits import Entry, Ledger, PutIn
from tests.recount.waiting import Questions, reasons

Look = Callable[[list[int], date], Shown]


class Recount:
    """What the pages say must stand, kept beside Rowfoot."""

    def __init__(self, season: str) -> None:
        self.page: SeasonPage = read_page(season)
        self.ledger = Ledger()
        self.stages: list[StageSaid] = []
        self.crossings = Crossings()
        self.alerts = Alerts(self.page)
        self.questions = Questions()
        self.handed = Handovers()
        self.closures = Closures()
        self.keepers = Keepers(self.page, self.closures, self.record, self.handed, self.alerts.silent)
        self.days = Days(self.keepers, self.alerts)
        self._records: dict[tuple[int, date], tuple[tuple[int, int], FieldRecord]] = {}
        self._looked: date | None = None

    def happens(self, happening: Happening, caused: list[Caused], look: Look) -> list[str]:
        """Hear a happening and what it caused; give the disagreements as lines."""
        at = happening.at.astimezone(self.page.zone)
        lines: list[str] = []
        expected: list[Expected] = []
        words: list[Word] = []
        match happening:
            case Reloads():
                self.page = read_page(happening.season)
                self._records.clear()
                self.alerts.page = self.keepers.page = self.page
            case Strikes():
                self.alerts.answered(self._asked(at))
                self.alerts.refresh(self._newest(at))
                expected += self.alerts.frees(at, strikes=True)
                expected += self.alerts.reminders(at)
                words += self.keepers.strikes(at, self.alerts.quiet(at))
                lines += self.days.mornings(at, caused)
                shown: Shown = {}
                if self.days.has_ended(at) and self._looked != at.date():
                    self._looked = at.date()
                    shown = self._look_all(at, look)
                    lines += self._compare(list(shown), at.date(), at, lambda _numbers, _day: shown)
                lines += self.days.evenings(at, caused, shown)
            case Says():
                self.days.hears(happening)
                self.questions.hears(happening, at)
                for meaning in happening.means:
                    match meaning:
                        case Shut():
                            words += self.keepers.shut(meaning, happening, at)
                            if meaning.cause == "words":
                                self.alerts.ok(happening.who, at)
                        case Opened():
                            words += self.keepers.opened(meaning, at)
                        case HandedOver():
                            self.handed.all += [
                                Handover(site, meaning.to, at.date()) for site in meaning.sites
                            ]
                        case HoursAreAll():
                            self.closures.hours_are_all(meaning.field)
                        case Counted() | Fixed():
                            words += self.keepers.counted(happening, meaning, at)
                        case _:
                            pass
                touched = [
                    each for meaning in happening.means for each in self._means(happening, meaning, at)
                ]
                for number, day in dict.fromkeys(touched):
                    field = self.page.field_of(number)
                    assert field is not None
                    numbers = list(
                        dict.fromkeys((number if number in field.sites else field.number, field.number))
                    )
                    lines += self._compare(numbers, day, at, look)
                expected += self._crossed(touched, at)
                for meaning in happening.means:
                    expected += self._answers(meaning, at)
                    if isinstance(meaning, Unreadable):
                        self.alerts.ok(happening.who, at)
                        words += self.keepers.by_hand(happening)
        if not isinstance(happening, Strikes):
            lines += self.days.out_of_time(caused)
            lines += [f"not expected: digest to {one.to}" for one in caused if one.purpose == "digest"]
        return lines + unmet(expected, caused) + unsaid(words, caused, at.year) + unread(caused, at.year)

    def _crossed(self, touched: list[tuple[int, date]], at: datetime) -> list[Expected]:
        for number in dict.fromkeys(self._field(number) for number, _ in touched):
            record = self.record(number, at.date())
            for event in self.crossings.update(number, field_state(record)):
                why = (
                    reasons(self.page, record, event, self.questions, self.handed, at)
                    if record.rounds
                    else ()
                )
                self.alerts.cross(event, why, at)
        self.alerts.answered(self._asked(at))
        return self.alerts.frees(at, strikes=False)

    def _asked(self, at: datetime) -> Callable[[int], bool]:
        return lambda number: self.questions.at((*self.page.fields[number].sites, number), at)

    def _newest(self, at: datetime) -> Callable[[Event], Event]:
        return lambda event: newest(event, field_state(self.record(event.field, at.date())))

    def _field(self, number: int) -> int:
        field = self.page.field_of(number)
        assert field is not None
        return field.number

    def _answers(self, meaning: Meaning, at: datetime) -> list[Expected]:
        match meaning:
            case SaidOk():
                warned = self.closures.warnings_open(meaning.by)
                for one in warned:
                    one.ok = True
                if not warned:
                    self.alerts.ok(meaning.by, at)
            case SentOn():
                state = field_state(self.record(meaning.field, at.date()))
                in_range = {
                    one.row.target for one in state.levels if one.certain and one.standing == "in range"
                }
                self.alerts.refresh(self._newest(at))
                return self.alerts.send_on(meaning.field, meaning.by, at, in_range, self._newest(at))
            case HeldBack():
                self.alerts.refresh(self._newest(at))
                return self.alerts.keep_back(meaning.field, meaning.by)
            case OptedOut():
                self.alerts.silent.add(meaning.by)
            case CameBack():
                self.alerts.silent.discard(meaning.by)
            case _:
                pass
        return []

    def _means(self, says: Says, meaning: Meaning, at: datetime) -> list[tuple[int, date]]:
        """Take a meaning into the ledger and give the sites and days that it touches."""
        match meaning:
            case Counted(by=by) if by in self.page.people and self.page.people[by].trainee:
                return []
            case Counted() | Fixed() | Shared() | LeftShort() | Skipped() | Moved():
                by = meaning.by if isinstance(meaning, Counted) else says.who
                self.ledger.put(Entry(says.id, at, by, meaning))
                return _touched(meaning)
            case TakenBack():
                return [
                    each for entry in self.ledger.take_back(meaning.text) for each in _touched(entry.what)
                ]
            case Staged():
                self._stage(meaning, at)
                return [(meaning.field, at.date())]
            case _:
                return []

    def _stage(self, staged: Staged, at: datetime) -> None:
        field = self.page.fields[staged.field]
        holds = staged.by in {one.key for one in self.page.supervisors_of(field)}
        if holds or stage_on(field, self.stages, staged.day) == UNKNOWN:
            stage = staged.stage.lower()
            self.stages.append(StageSaid(staged.field, staged.day, stage, staged.week, not holds, at))

    def record(self, number: int, day: date) -> FieldRecord:
        """Put the field of a number together as of a day."""
        field = self.page.field_of(number)
        assert field is not None
        key = (field.number, day)
        version = (len(self.stages), self.ledger.changes)
        if key not in self._records or self._records[key][0] != version:
            self._records[key] = (version, FieldRecord(self.page, field, self.ledger, self.stages, day))
        return self._records[key][1]

    def _look_all(self, at: datetime, look: Look) -> Shown:
        numbers = [number for field in self.page.fields.values() for number in {*field.sites, field.number}]
        return look(numbers, at.date())

    def _compare(self, numbers: list[int], day: date, at: datetime, look: Look) -> list[str]:
        shown = look(numbers, day)
        lines = []
        for number in numbers:
            record = self.record(number, day)
            then = min(at, datetime.combine(day, time.max, self.page.zone))
            until = self.closures.until(record.of.number, then)
            closed = until.isoformat() if isinstance(until, datetime) else until
            one_site = number in record.of.sites
            expected = show_site(record, number, closed) if one_site else show_field(record, closed)
            got = shown.get(number)
            found = ["is not shown"] if got is None else differences(expected, got)
            lines += [f"show {number} on {day}: {line}" for line in found]
        return lines


def _touched(what: PutIn) -> list[tuple[int, date]]:
    return [(what.site, what.day), *([(what.to, what.day)] if isinstance(what, Moved) else [])]
