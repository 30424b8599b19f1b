"""The plan of a day: which fields to keep out of, where to go, with which method, what is left."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time
from enum import IntEnum
from functools import partial

from bot.replies.fitting import tidy
from bot.replies.keepouts import moment_words, to_words
from bot.replies.speech import Speech, capital
from bot.rules import Method
from parsing import TEXT_SEPTETS, septets

MOST_TEXTS = 2


class PlanGive(IntEnum):
    """What a plan gives up for room, in this order.

    The date, the hour, KEEP OUT with its hour, and that a sign wins are never given up; the sites to go to only
    where two texts do not hold them, and then the last says how many are not named.
    """

    NOTHING = 0
    DONE = 1
    FIELDS_APART = 2
    WEEKDAYS = 3
    LONG_WORDS = 4
    PEOPLE = 5
    HOURS = 6
    HANDED_ON = 7
    DAYS_LATE = 8


@dataclass(frozen=True, slots=True)
class _Piece:
    """A sentence of a plan; one about `sites` can be said of the first of them, and of the others in the next text."""

    say: Callable[[Sequence[int]], str]
    sites: tuple[int, ...] = ()

    def without_last(self, count: int) -> "_Piece":
        return replace(self, sites=self.sites[: len(self.sites) - count])


def _said(text: str) -> _Piece:
    return _Piece(lambda _: text)


@dataclass(frozen=True, slots=True)
class Going:
    """A site to go to: with which method, how many samples, how many are `left` where it is begun.

    `at_most` where stop lines may make fewer enough. `recheck` after a treatment; `late` the days since it was
    due; `whose` it is where it is not the reader's, and `given_by` whom he has it from; both first names.
    """

    site: int
    field: int
    method: Method
    samples: int
    at_most: bool = False
    left: int | None = None
    recheck: bool = False
    late: int = 0
    whose: str = ""
    given_by: str = ""


@dataclass(frozen=True, slots=True)
class DayPlan:
    """What one person has on a day as of a local time; `shut` fields with until when, None where that is not known.

    `stage_wanted` are fields whose plan turns on a stage that nobody has said; `handed_on` sites with the first
    names of those who have them now; `hours` are those in which a method works.
    """

    now: datetime
    shut: tuple[tuple[int, datetime | None], ...] = ()
    going: tuple[Going, ...] = ()
    stage_wanted: tuple[int, ...] = ()
    handed_on: tuple[tuple[int, str], ...] = ()
    hours: tuple[tuple[Method, tuple[time, time]], ...] = ()
    done: tuple[int, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to go to and nothing to keep out of."""
        return not (self.shut or self.going or self.stage_wanted)


def plan_texts(speech: Speech, plan: DayPlan) -> list[str]:
    """Give the plan of a day in one text, in two only where one cannot hold it; the first within the speech's room."""
    rooms = [speech.room, TEXT_SEPTETS]
    for most in range(1, MOST_TEXTS + 1):
        for give in PlanGive:
            filled = _filled(_pieces(speech, plan, give), rooms[:most], _marks(speech, plan, most))
            if filled is not None:
                return filled
    pieces, dropped = _pieces(speech, plan, max(PlanGive)), 0
    while pieces:
        last = pieces.pop()
        if len(last.sites) > 1:
            pieces.append(last.without_last(1))
        dropped += 1
        more = _said(speech.say("plan.and_more", n=dropped))
        filled = _filled([*pieces, more], rooms, _marks(speech, plan, MOST_TEXTS))
        if filled is not None:
            return filled
    return [tidy(f"{_marks(speech, plan, 1)[0]} {speech.say('plan.sign_short')}")]


def hours_words(speech: Speech, method: Method, hours: tuple[time, time]) -> str:
    """Give the hours in which a method works: net 6:30 to 11:00 AM."""
    return speech.say("plan.hours", method=method_word(speech, method), hours=speech.span(*hours))


def method_word(speech: Speech, method: Method) -> str:
    """Give a method inside a sentence: net, sheet."""
    return speech.say(f"methods.{method.value}").lower()


def _marks(speech: Speech, plan: DayPlan, pages: int) -> list[str]:
    """Give what each of so many texts begins with."""
    head = speech.say(
        "plan.as_of", day=capital(speech.weekday_date(plan.now.date())), time=speech.clock(plan.now)
    )
    if pages == 1:
        return [f"{head}."]
    return [f"{head}, 1/{pages}.", *(f"{number}/{pages}." for number in range(2, pages + 1))]


def _filled(pieces: Sequence[_Piece], rooms: Sequence[int], marks: Sequence[str]) -> list[str] | None:
    """Fill exactly so many texts one after the other, each within its room; None where that cannot be."""
    texts = [tidy(marks[0])]
    for piece in pieces:
        left = piece
        while (taken := _most_fitting(texts[-1], left, rooms[len(texts) - 1])) is None or taken[1].sites:
            if taken is not None:
                texts[-1], left = taken
            if len(texts) == len(rooms):
                return None
            texts.append(tidy(marks[len(texts)]))
        texts[-1] = taken[0]
    return texts if len(texts) == len(rooms) else None


def _most_fitting(text: str, piece: _Piece, room: int) -> tuple[str, _Piece] | None:
    """Give a text with as much of a piece as its room holds, and what is left of the piece; None where nothing fits."""
    sites = piece.sites
    for count in range(len(sites), 0 if sites else -1, -1):
        longer = tidy(f"{text} {piece.say(sites[:count])}")
        if septets(longer) <= room:
            return longer, replace(piece, sites=sites[count:])
    return None


def _pieces(speech: Speech, plan: DayPlan, give: PlanGive) -> list[_Piece]:
    """Give what a plan says in its order: KEEP OUT, the sign, where to go, what else is to be known."""
    extra = [
        *([] if plan.going or plan.stage_wanted else [_nothing(speech, plan)]),
        *([_stage_words(speech, plan, give)] if plan.stage_wanted else []),
        *([_hours_said(speech, plan)] if plan.hours and give < PlanGive.HOURS else []),
        *_handed_on_words(speech, plan, give),
        *([_done_words(speech, plan)] if plan.done and give < PlanGive.DONE else []),
    ]
    sign = speech.say("plan.sign" if give < PlanGive.LONG_WORDS else "plan.sign_short")
    return [
        *_keep_out(speech, plan, give),
        _said(sign),
        *_going_words(speech, plan, give),
        *map(_said, extra),
    ]


def _nothing(speech: Speech, plan: DayPlan) -> str:
    return speech.say("plan.nothing_left" if plan.done else "plan.nothing_due")


def _keep_out(speech: Speech, plan: DayPlan, give: PlanGive) -> list[_Piece]:
    """Give the fields that nobody may enter, those until one moment together; each text begins them anew."""
    ends: dict[datetime | None, list[int]] = {}
    for field, until in plan.shut:
        ends.setdefault(until, []).append(field)
    last = len(ends) - 1
    return [
        _Piece(
            partial(_shut_words, speech, give, until, first=place == 0, mark="." if place == last else ";"),
            tuple(fields),
        )
        for place, (until, fields) in enumerate(ends.items())
    ]


def _shut_words(
    speech: Speech, give: PlanGive, until: datetime | None, fields: Sequence[int], *, first: bool, mark: str
) -> str:
    """Give fields that are shut until one moment: 27 41 to Thu Jul 8 5:40 AM."""
    end = to_words(speech, until)
    if until is not None and give < PlanGive.WEEKDAYS:
        end = speech.say("plan.to", moment=moment_words(speech, until))
    said = f"{' '.join(map(str, fields))} {end}{mark}"
    return speech.say("plan.keep_out", items=said) if first else said


def _going_words(speech: Speech, plan: DayPlan, give: PlanGive) -> list[_Piece]:
    """Give the sites to go to, those alike drawn together: of a field at first, of all fields where room is short."""
    alike: dict[Going, list[int]] = {}
    for one in plan.going:
        alike.setdefault(_without_its_own(one, give), []).append(one.site)
    return [_Piece(partial(_sites_words, speech, give, key), tuple(sites)) for key, sites in alike.items()]


def _without_its_own(going: Going, give: PlanGive) -> Going:
    """Give a site's entry without what sets it apart from others that are said together with it."""
    plain = replace(going, site=0)
    if give >= PlanGive.PEOPLE:
        plain = replace(plain, whose="", given_by="")
    if give >= PlanGive.FIELDS_APART:
        plain = replace(plain, field=0)
    if give >= PlanGive.DAYS_LATE:
        plain = replace(plain, late=min(plain.late, 1))
    return plain


def _sites_words(speech: Speech, give: PlanGive, one: Going, sites: Sequence[int]) -> str:
    key = "left" if one.left is not None else "at_most" if one.at_most else "samples"
    count = "many" if len(sites) > 1 else "one"
    n = one.samples if one.left is None else one.left
    said = speech.say(
        f"plan.{key}_{count}", sites=" ".join(map(str, sites)), method=method_word(speech, one.method), n=n
    )
    if one.whose:
        said = speech.say("plan.whose", name=one.whose, sites=said)
    if one.given_by:
        said += speech.say("plan.given_by", name=one.given_by)
    if one.recheck:
        said += speech.say("plan.recheck" if give < PlanGive.LONG_WORDS else "plan.recheck_short")
    if one.late:
        said += _late_words(speech, one.late, give)
    return f"{said}."


def _late_words(speech: Speech, days: int, give: PlanGive) -> str:
    if give >= PlanGive.DAYS_LATE:
        return speech.say("plan.late_short")
    return speech.say("plan.late_one" if days == 1 else "plan.late", days=days)


def _stage_words(speech: Speech, plan: DayPlan, give: PlanGive) -> str:
    key = "plan.stage" if give < PlanGive.LONG_WORDS else "plan.stage_short"
    return speech.say(key, fields=" ".join(map(str, plan.stage_wanted)))


def _hours_said(speech: Speech, plan: DayPlan) -> str:
    said = "; ".join(hours_words(speech, method, hours) for method, hours in plan.hours)
    return f"{capital(said)}."


def _handed_on_words(speech: Speech, plan: DayPlan, give: PlanGive) -> list[str]:
    if not plan.handed_on or give >= PlanGive.HANDED_ON:
        return []
    if give >= PlanGive.PEOPLE:
        return [speech.say("plan.handed_on", items=" ".join(str(site) for site, _ in plan.handed_on))]
    items = ", ".join(speech.say("plan.handed_to", site=site, name=name) for site, name in plan.handed_on)
    return [speech.say("plan.handed_on", items=items)]


def _done_words(speech: Speech, plan: DayPlan) -> str:
    return speech.say("plan.done", sites=" ".join(map(str, plan.done)))
