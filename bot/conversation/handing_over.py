"""Handing a site to another scout for its next visit: who may, to whom, and who hears of it."""

from collections.abc import Sequence

from bot.conversation.handing import around
from bot.conversation.planning import plan_words_of
from bot.conversation.shutting import warn_if_shut
from bot.conversation.turn import Purpose, Turn, tell
from bot.field_book import FieldBook, handed_over, kept_out, seen_before, still_holds, whose_site
from bot.replies import Speech, first_fitting, named, refusal, shortened, until_words
from bot.rules import Field, Method, Person, PersonKey, Role
from parsing import HandOver, Kind, Problem, capitals
from storage import HandOverRow, drop, first_time, hand_overs, outbox_beginning

MOST_OF_A_NAME = 24
"""How much of a name that nobody has is said back."""

RECEIVERS = frozenset({Role.SCOUT, Role.LEADER})
"""To whom a site may be handed: those who go out with a plan."""


def hear_hand_over(turn: Turn, said: HandOver) -> None:
    """Hand a site's next visit to a scout; both hear of it, and the reply says so."""
    if said.number not in turn.book.sites:
        problem = Problem(Kind.FIELD_NOT_SITE, (0, 0), "TO")
        turn.reply(refusal(turn.speech, problem, around(turn, said.number)))
        return
    field = turn.book.sites[said.number]
    supervisor = turn.supervisor_of(field)
    if not turn.person.roles & {Role.LEADER, Role.SUPERVISOR}:
        turn.reply(turn.say("hand_over.not_yours", site=said.number, supervisor=supervisor))
    elif not _may_hand(turn, said.number, field):
        turn.reply(turn.say("hand_over.not_your_crew", site=said.number, supervisor=supervisor))
    else:
        receiver = _receiver(turn, said)
        if receiver is not None:
            _hand(turn, said.number, field, receiver)


def _may_hand(turn: Turn, site: int, field: Field) -> bool:
    """Tell whether a site is the sender's to hand over: his field to supervise, his crew's or his own to count."""
    person = turn.person
    if Role.SUPERVISOR in person.roles:
        return True
    crew = {person.key, *person.crew}
    return bool(crew & {*field.scouts, *whose_site(turn.book, site)})


def _receiver(turn: Turn, said: HandOver) -> Person | None:
    """Give the scout whom a name (key, first name or whole name) means; where it is none or several, say so."""
    people = [one for one in turn.season.people.values() if one.active and one.roles & RECEIVERS]
    meant = [one for one in people if said.who in {capitals(name) for name in _names(one)}]
    keyed = [one for one in meant if capitals(one.key) == said.who]
    site, name = said.number, shortened(said.who, MOST_OF_A_NAME)
    match keyed or meant:
        case [one] if _may_visit(turn, site, one):
            return one
        case [one]:
            able = [other for other in people if _may_visit(turn, site, other)]
            turn.reply(
                *_with_names(turn, "hand_over.not_visual", able, site=site, who=one.first_name),
            )
        case []:
            turn.reply(*_with_names(turn, "hand_over.nobody", people, site=site, said=name))
        case several:
            keys = turn.speech.names([f"{capitals(one.key)} ({one.name})" for one in several])
            turn.reply(*turn.wordings("hand_over.several", site=site, said=name, keys=keys))
    return None


def _names(person: Person) -> tuple[str, ...]:
    return person.key, person.first_name, person.name


def _may_visit(turn: Turn, site: int, person: Person) -> bool:
    """Tell whether somebody may count a site by its plan, by each of its plans where the stage is not known."""
    field, plan = turn.book.sites[site], turn.book.plan_on(site, turn.day)
    plans = [plan] if plan is not None else [turn.season.plans[key] for _, key in field.plans]
    return person.visual or all(one.method is not Method.VISUAL for one in plans)


def _with_names(turn: Turn, key: str, people: Sequence[Person], **values: object) -> tuple[str, ...]:
    """Give the wordings of a refusal that names those who could have it, as many as have room."""
    names = [one.first_name for one in people]
    full = [
        turn.say(key, names=", ".join(names[:count]) or turn.say("hand_over.no_one"), **values)
        for count in range(len(names), 0, -1)
    ] or [turn.say(key, names=turn.say("hand_over.no_one"), **values)]
    return *full, turn.say(f"{key}_short", **values)


def _hand(turn: Turn, site: int, field: Field, receiver: Person) -> None:
    book, session = turn.book, turn.book.session
    before = whose_site(book, site)
    warn_if_shut(turn, field.number)
    if before == (receiver.key,):
        turn.reply(
            *(
                turn.say("hand_over.same", site=site, name=name, who=receiver.first_name)
                for name in _of(field)
            )
        )
        return
    for old in hand_overs(session):
        if old.site == site:
            _end(book, old)
    row = HandOverRow(
        site=site,
        person=receiver.key,
        given_by=turn.person.key,
        text_id=turn.text.id,
        given_at=book.now,
    )
    session.add(row)
    session.flush()
    visit = book.site_view(site, book.today).visit
    if visit is not None and visit.finished:
        first_time(session, seen_before(row), book.now)
    told, not_told = _tell_both(turn, row, field, receiver, before)
    said = " ".join(filter(None, (_say_of(turn, "told", told), _say_of(turn, "not_told", not_told))))
    short = _say_of(turn, "not_told", not_told)
    turn.reply(
        *(
            turn.say("hand_over.done", site=site, name=name, who=receiver.first_name, told=one)
            for one in (said, short)
            for name in _of(field)
        )
    )


def _say_of(turn: Turn, key: str, people: Sequence[Person]) -> str:
    """Say of some people whether they are told; nothing where there are none."""
    if not people:
        return ""
    count = "one" if len(people) == 1 else "many"
    return turn.say(f"hand_over.{key}_{count}", names=turn.speech.names([one.first_name for one in people]))


def _of(field: Field) -> list[str]:
    return named(field.name)


def _end(book: FieldBook, row: HandOverRow) -> None:
    """End a hand-over; what was to be said of it and has not left yet is not said any more."""
    row.ended_at = book.now
    book.session.flush()
    for text in outbox_beginning(book.session, f"{_key(row)}:"):
        drop(text)


def _key(row: HandOverRow) -> str:
    return f"{Purpose.NOTICE}:hand-over:{row.id}"


def _tell_both(
    turn: Turn, row: HandOverRow, field: Field, receiver: Person, before: Sequence[PersonKey]
) -> tuple[list[Person], list[Person]]:
    """Tell the one who has a site now and those who had it, but not the sender; give those told, and those not."""
    book = turn.book
    others = [one for key in before if (one := book.person(key)) is not None and one.key != receiver.key]

    def to_receiver(speech: Speech) -> str:
        said = {"site": row.site, "by": turn.person.first_name}
        shut = _shut_words(book, speech, field)
        plan = "" if shut else plan_words_of(book, speech, row.site)
        full = [speech.say("hand_over.yours", name=name, plan=plan, **said) for name in _of(field)]
        short = [speech.say("hand_over.yours_short", name=name, **said) for name in _of(field)]
        return first_fitting(*(f"{shut} {one}" for one in (*full, *short)))

    def to_others(speech: Speech) -> str:
        said = {"site": row.site, "by": turn.person.first_name, "who": receiver.first_name}
        return first_fitting(
            *(speech.say("hand_over.not_yours_now", name=name, **said) for name in _of(field))
        )

    told: list[Person] = []
    not_told: list[Person] = []
    for person, build in ((receiver, to_receiver), *((one, to_others) for one in others)):
        if person.key != turn.person.key:
            can = tell(book, person, _key(row), Purpose.NOTICE, build, cause=turn.text.id)
            (told if can else not_told).append(person)
    return told, not_told


def _shut_words(book: FieldBook, speech: Speech, field: Field) -> str:
    """Give that nobody may enter a field and until when, empty where nothing is on record."""
    shut = kept_out(book, field)
    if shut is None:
        return ""
    until = until_words(speech, book.local(shut.until) if shut.until is not None else None)
    return speech.say("keepout.stands", field=field.number, until=until)


def settle_hand_overs(book: FieldBook) -> None:
    """End the hand-overs whose visit is finished, whose round is over, or of which the season knows no more."""
    holding = handed_over(book)
    for row in hand_overs(book.session):
        if row.site not in holding and not still_holds(book, row):
            row.ended_at = book.now
