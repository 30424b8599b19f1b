"""Texts about the phone itself, and what goes to a person: help, opt-out, OK, kind words, the unreadable."""

import re
from dataclasses import replace

from bot.conversation.asking import repeat_question
from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.field_book import FieldBook
from bot.replies import Around, Speech, first_fitting, phone_words, refusal, shortened, speech
from bot.rules import Field, Role
from parsing import (
    Card,
    Help,
    Kind,
    OptIn,
    OptOut,
    Reading,
    ShowCard,
    Unreadable,
    may_mean_treated,
    shipped_words,
)
from storage import (
    Draft,
    InboxState,
    InboxText,
    drop_waiting,
    phone_state,
    put,
    unread_alerts,
)


def help_variants(speech_: Speech, book: FieldBook) -> tuple[str, ...]:
    """Give the help text: emergency number first, who runs this, what to send, how to get no more texts."""
    season = book.season
    values = {"emergency": season.emergency, "season": season.name, "contact": season.contact}
    return tuple(speech_.say(f"phone.{key}", **values) for key in ("help", "help_short", "help_bare"))


def hear_help(turn: Turn) -> None:
    """Answer HELP, on a phone that opted out too."""
    turn.reply(*help_variants(turn.speech, turn.book), even_if_silent=True)


def hear_opt_out(turn: Turn) -> None:
    """Send no more texts to this phone but one confirmation, and tell supervisors and leaders at once."""
    already = turn.silent
    drop_waiting(turn.book.session, turn.text.sender)
    turn.phone.opted_out_at = turn.phone.opted_out_at or turn.book.now
    if already:
        return
    open_sites = turn.book.open_sites_of(turn.person.key, turn.day)
    values: dict[str, object] = {"season": turn.season.name}
    site = open_sites[0] if open_sites else None
    short = turn.say("phone.stopped_short")
    variants = (turn.say("phone.stopped", site=site, **values), short) if site else (short,)
    turn.reply(*variants, even_if_silent=True)
    _tell_opted_out(turn, site)


def _tell_opted_out(turn: Turn, site: int | None) -> None:
    clock = turn.book.local(turn.book.now)
    view = turn.book.site_view(site, turn.day) if site is not None else None

    def build(speech_: Speech) -> str:
        where = ""
        if view is not None and view.visit is not None:
            n, planned = view.visit.samples_in, view.visit.plan.samples
            where = speech_.say("notice.opted_out_site", site=site, n=n, planned=planned)
        return speech_.say("notice.opted_out", name=turn.person.name, time=speech_.hour(clock), site=where)

    tell_supervisors(
        turn.book,
        None,
        f"{Purpose.NOTICE}:opted-out:{turn.text.id}",
        build,
        cause=turn.text.id,
        at_once=True,
        leaders_of=turn.person,
    )


def hear_opt_in(turn: Turn) -> None:
    """Let texts go to this phone again."""
    turn.phone.opted_out_at = turn.phone.paused_at = None
    turn.reply(turn.say("phone.started", season=turn.season.name), turn.say("phone.started_short"))


def hear_language(turn: Turn, language: str) -> None:
    """Answer in another language from here on."""
    turn.phone.language = language
    turn.reply(turn.say("phone.language"))


def hear_read(turn: Turn, number: int | None) -> None:
    """Note that this person has read his alerts; with none, an open question is said again."""
    waiting = unread_alerts(turn.book.session, turn.person.key, turn.book.now)
    field = turn.season.field_of(number) if number is not None else None
    if field is not None:
        waiting = [alert for alert in waiting if alert.crossing.field == field.number]
    for alert in waiting:
        alert.read_at = turn.book.now
    if waiting:
        fields = dict.fromkeys(str(alert.crossing.field) for alert in waiting)
        turn.reply(turn.say("read.alerts", fields=turn.speech.names(list(fields))))
    elif not repeat_question(turn):
        turn.reply(turn.say("read.none"))


def hear_courtesy(turn: Turn, *, thanks: bool) -> None:
    """Answer kind words kindly; thanks from somebody with an unread alert say that he read it."""
    if thanks and unread_alerts(turn.book.session, turn.person.key, turn.book.now):
        hear_read(turn, None)
    elif not repeat_question(turn):
        turn.reply(turn.say("read.kind" if thanks else "read.hello"))


def hear_card(turn: Turn, said: ShowCard) -> None:
    """Give the codes in card order, of the site named or of the sender's open site."""
    book = turn.book
    open_sites = book.open_sites_of(turn.person.key, turn.day)
    mine = [site for site, field in book.sites.items() if turn.person.key in field.scouts]
    field = book.season.field_of(said.number) if said.number is not None else None
    site = field.sites[0] if field else next(iter((*open_sites, *mine, *book.sites)), None)
    if said.number in book.sites:
        site = said.number
    plan = book.plan_on(site, turn.day) if site is not None else None
    if site is None or plan is None:
        turn.reply(turn.say("card.which", number=site, field=book.sites[site].number if site else ""))
        return
    method = turn.say(f"methods.{plan.method.value}")
    columns = ", ".join(
        turn.say(
            "card.column",
            code=column.code,
            target=turn.speech.target(turn.season, column.target),
            stage=turn.say(f"life_stages.{column.life_stage}"),
        ).strip()
        for column in plan.card
    )
    turn.reply(
        turn.say("card.form", method=method, columns=columns),
        turn.say("card.form_short", method=method, codes=columns),
        turn.say("card.form_short", method=method, codes=" ".join(plan.codes)),
    )


def hear_unreadable(turn: Turn, said: Unreadable) -> None:
    """Say what could not be taken; a treated field, a wish to stop, a grower's words go to a person."""
    number = said.number
    field = turn.season.field_of(number) if number is not None else None
    if said.treated:
        tell_of_treated(turn, field)
        return
    stray = number is None and said.problems[0].kind is Kind.NOT_UNDERSTOOD
    wants_no_more = said.opt_out_inside and number is None
    if not turn.person.may_count or wants_no_more or (stray and Role.GROWER in turn.person.roles):
        _to_person(turn, field, "words")
        if wants_no_more:
            turn.phone.paused_at = turn.book.now
        if Role.GROWER in turn.person.roles:
            for alert in unread_alerts(turn.book.session, turn.person.key, turn.book.now):
                alert.read_at = turn.book.now
        turn.reply(
            turn.say("phone.to_person", supervisor=turn.supervisor_of(field), contact=turn.season.contact)
        )
        return
    problem = said.problems[0]
    if not problem.said and number is None:
        problem = replace(problem, said=turn.say("parts.that_text"))
    turn.reply(refusal(turn.speech, problem, around(turn, number)))


def tell_of_treated(turn: Turn, field: Field | None, words: str | None = None) -> None:
    """Let a person know at once that a field may be treated; until one has answered: keep out.

    `words` are what was said before, where this text only answers a question about it.
    """
    _to_person(turn, field, "treated", words)
    place = f"{field.number} {field.name}" if field else _places_in(turn)
    values: dict[str, object] = {"supervisor": turn.supervisor_of(field), "contact": turn.season.contact}
    key = "phone.to_person_treated" if words is None else "phone.to_person_closed"
    turn.reply(
        turn.say(key, place=place, **values),
        turn.say(key, place=field.number if field else place, **values),
    )


def warn_of_treated(turn: Turn, number: int, words: str | None) -> None:
    """Where free words beside a form may mean a treated field, tell a person at once and say KEEP OUT first."""
    field = turn.season.field_of(number)
    if words is None or not may_mean_treated(words, shipped_words()) or field is None:
        return
    _to_person(turn, field, "treated_beside")
    turn.warning = turn.say("phone.keep_out_until", field=field.number, supervisor=turn.supervisor_of(field))


def _places_in(turn: Turn) -> str:
    """Give the fields whose numbers stand somewhere in a text, else no field by name."""
    said = [int(digits) for digits in re.findall(r"[0-9]{2,4}", turn.text.body)]
    fields = dict.fromkeys(one.number for one in map(turn.season.field_of, said) if one is not None)
    return turn.speech.names([str(number) for number in fields]) or turn.say("phone.the_field")


def _to_person(turn: Turn, field: Field | None, kind: str, said: str | None = None) -> None:
    """Let a supervisor (and the sender's leader) have a text that the machine could not take, at once."""
    turn.text.needs_person = True
    words = said or " ".join(turn.text.body.split())

    def build(speech_: Speech) -> str:
        return first_fitting(
            *(
                speech_.say(
                    f"notice.{kind}",
                    name=turn.person.name,
                    said=shortened(words, most),
                    phone=phone_words(turn.person.phone),
                )
                for most in (160, 80, 60, 40, 20, 10)
            )
        )

    tell_supervisors(
        turn.book,
        field,
        f"{Purpose.NOTICE}:{kind}:{turn.text.id}",
        build,
        cause=turn.text.id,
        at_once=True,
        leaders_of=turn.person,
    )


def around(turn: Turn, number: int | None) -> Around:
    """Give what a refusal may name about the number in front and the sender's own sites."""
    book = turn.book
    field = book.season.field_of(number) if number is not None else None
    card = None
    if number is not None and number in book.sites:
        plan = book.plan_on(number, turn.day)
        card = Card(plan.codes, plan.samples, plan.ask_above) if plan else None
    mine = tuple(site for site, one in book.sites.items() if turn.person.key in one.scouts)
    return Around(number, field.number if field else None, field.sites if field else (), card, mine)


def refuse_counting(turn: Turn, number: int) -> None:
    """Refuse counts from somebody who may not send them, naming who may; a supervisor reads them."""
    field = turn.season.field_of(number)
    _to_person(turn, field, "words")
    values = {"number": number, "supervisor": turn.supervisor_of(field), "contact": turn.season.contact}
    turn.reply(turn.say("refused.may_not_count", **values))


def refuse_seeing(turn: Turn, number: int) -> None:
    """Refuse to say how a field stands to somebody whose field it is not."""
    turn.reply(turn.say("refused.may_not_see", number=number, contact=turn.season.contact))


def hear_stranger(book: FieldBook, text: InboxText, reading: Reading) -> None:
    """Keep a text from an unknown number for a person; answer at most once a day, and give nothing away."""
    text.state = InboxState.ASIDE
    text.needs_person = True
    phone = phone_state(book.session, text.sender)
    say = speech(phone.language or "en")

    def answer(key: str, *variants: str) -> None:
        out = Draft(key, text.sender, Purpose.REPLY, first_fitting(*variants), book.now, None, text.id)
        put(book.session, out, book.now)

    match reading:
        case OptOut():
            if phone.opted_out_at is None:
                phone.opted_out_at = book.now
                answer(f"{Purpose.REPLY}:{text.id}", say.say("phone.stopped_short"))
            return
        case OptIn() if phone.opted_out_at is not None:
            phone.opted_out_at = None
        case _:
            pass
    if phone.opted_out_at is None:
        variants = (
            help_variants(say, book) if isinstance(reading, Help) else (say.say("phone.unknown_number"),)
        )
        answer(f"{Purpose.REPLY}:stranger:{text.sender}:{book.today}", *variants)
