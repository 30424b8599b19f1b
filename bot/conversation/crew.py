"""What supervisors and leaders ask for: the account of the day as of now, and where everybody is."""

from collections import Counter
from collections.abc import Mapping, Sequence
from enum import IntEnum

from bot.conversation.paging import reply_on_pages
from bot.conversation.turn import Turn
from bot.field_book import Whereabouts, whereabouts
from bot.replies import pages, whole_pages
from bot.rules import Person, PersonKey, Role, Season

MOST_TEXTS = 2

LETTERS_OF_A_NAME = 3
"""What a name keeps at the last, where that tells it from the others."""

LEADING = frozenset({Role.SUPERVISOR, Role.LEADER})


class _Way(IntEnum):
    """What is given up so that everybody's place fits one text: times of those who are well, lists, then names."""

    WHOLE = 0
    NO_TIMES = 1
    NO_LISTS = 2
    SHORT_NAMES = 3


def hear_today(turn: Turn) -> None:
    """Answer TODAY: the digest as of now, on as many texts as in the evening."""
    if not turn.person.roles & LEADING:
        turn.reply(turn.say("crew.today_not_yours", contact=turn.season.contact))
        return
    turn.dated = True
    reply_on_pages(turn, turn.account(turn.book, turn.speech, turn.person), "today")


def hear_crew(turn: Turn) -> None:
    """Answer CREW: of everybody who counts where he is, how far, and when he last texted; the silent first."""
    if not turn.person.roles & LEADING:
        turn.reply(turn.say("crew.not_yours", contact=turn.season.contact))
        return
    turn.dated = True
    people = crew_of(turn.season, turn.person)
    if not people:
        turn.reply(turn.say("crew.nobody"))
        return
    found = whereabouts(turn.book, people)
    found = [
        one for one in found if Role.SCOUT in one.person.roles or one.under_way or one.done or one.unchecked
    ]
    found.sort(key=lambda one: (one.silent_since is None, not one.under_way))
    reply_on_pages(turn, _texts(turn, found), "crew")


def crew_of(season: Season, person: Person) -> list[Person]:
    """Give those in somebody's care who go out: all scouts and leaders of a supervisor, his crew of a leader."""
    if Role.SUPERVISOR in person.roles:
        out = (one for one in season.people.values() if one.roles & {Role.SCOUT, Role.LEADER})
        return [one for one in out if one.active and one.key != person.key]
    crew = [season.people[key] for key in person.crew]
    return [one for one in crew if one.active and one.key != person.key]


def _texts(turn: Turn, found: Sequence[Whereabouts]) -> list[str]:
    speech = turn.speech
    head = speech.hour(turn.book.local(turn.book.now))

    def mark(number: int, count: int) -> str:
        return (
            f"{head}:" if count == 1 else f"{head} {number}/{count}:" if number == 1 else f"{number}/{count}:"
        )

    names = _names([one.person for one in found])
    short = _shortened(names)

    def items(way: _Way) -> list[str]:
        called = short if way is _Way.SHORT_NAMES else names
        said = [_where(turn, one, called[one.person.key], way) for one in found]
        return [f"{item};" for item in said[:-1]] + [f"{item}." for item in said[-1:]]

    named = [way for way in _Way if way is not _Way.SHORT_NAMES]
    ways = [(most, way) for most in range(1, MOST_TEXTS + 1) for way in named]
    for most, way in ways:
        whole = whole_pages(items(way), most, mark, speech.room)
        if whole is not None:
            return whole
    last = items(_Way.SHORT_NAMES)
    return pages(last, MOST_TEXTS, mark, lambda left: speech.say("digest.and_more", n=left), speech.room)


def _names(people: Sequence[Person]) -> dict[PersonKey, str]:
    """Give what people are called: their first names, two alike by their whole names."""
    firsts = Counter(person.first_name for person in people)
    return {one.key: one.first_name if firsts[one.first_name] == 1 else one.name for one in people}


def _shortened(names: Mapping[PersonKey, str]) -> dict[PersonKey, str]:
    """Give names cut to their first letters, to as many as tell each from the others."""
    short = {}
    for key, name in names.items():
        others = [other for one, other in names.items() if one != key]
        lengths = range(LETTERS_OF_A_NAME, len(name) + 1)
        cuts = (name[:length] for length in lengths)
        short[key] = next((cut for cut in cuts if not any(one.startswith(cut) for one in others)), name)
    return short


def _where(turn: Turn, one: Whereabouts, name: str, way: _Way) -> str:
    speech = turn.speech
    at = speech.hour(turn.book.local(one.last)) if one.last is not None else ""
    time = speech.say("crew.last", time=at) if at and way < _Way.NO_TIMES else ""
    lists = way < _Way.NO_LISTS
    brief = "" if lists else "_short"
    if one.under_way:
        last = one.under_way[-1]
        far = speech.say(f"crew.far{brief}", site=last.site, n=last.n, planned=last.planned)
        others = [each.site for each in one.under_way[:-1]]
        if others:
            far += speech.say("crew.open_too", sites=_sites(others, lists=lists))
        if one.silent_since is not None:
            return speech.say(f"crew.silent{brief}", name=name, far=far, time=at)
        return speech.say("crew.under_way", name=name, far=far, time=time)
    unchecked = _sites(one.unchecked, lists=lists)
    if one.done:
        key = "crew.done" if one.ahead else "crew.all_done"
        return speech.say(
            key,
            name=name,
            sites=_sites(one.done, lists=lists)
            + (speech.say("crew.unchecked_too", sites=unchecked) if one.unchecked else ""),
            left=_sites(one.ahead, lists=lists),
            time=time,
        )
    if one.unchecked:
        key = "crew.unchecked_to_go" if one.ahead else "crew.unchecked"
        left = _sites(one.ahead, lists=lists)
        return speech.say(key, name=name, sites=unchecked, left=left, time=time)
    return speech.say("crew.not_begun" if one.ahead else "crew.nothing_due", name=name, time=time)


def _sites(sites: Sequence[int], *, lists: bool) -> str:
    return " ".join(map(str, sites)) if lists else str(len(sites))
