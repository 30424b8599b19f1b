"""Texts about the phone itself, and what goes to a person: help, opt-out, OK, kind words, the unreadable."""

from bot.conversation.asking import repeat_question
from bot.conversation.emergency import hear_strangers_sos
from bot.conversation.telling import mark_told_read
from bot.conversation.telling_out import mark_out_read, tell_again, thanks_for_ok
from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.field_book import FieldBook
from bot.replies import Speech, first_fitting, speech
from parsing import Help, OptIn, OptOut, Reading, Sos, capitals, spoken_in
from storage import Draft, InboxState, InboxText, drop_waiting, phone_state, put, unread_alerts


def help_variants(speech_: Speech, book: FieldBook) -> tuple[str, ...]:
    """Give the help text: emergency number first, who runs this, what to send, how to get no more texts."""
    season = book.season
    values = {"emergency": season.emergency, "season": season.name, "contact": season.contact}
    values["number"] = season.contact_number
    keys = ("help", "help_middle", "help_short", "help_bare")
    return tuple(speech_.say(f"phone.{key}", **values) for key in keys)


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
    short = (turn.say("phone.stopped_short"), turn.say("phone.stopped_bare"))
    variants = (turn.say("phone.stopped", site=site, **values), *short) if site else short
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
        about=True,
    )


def hear_opt_in(turn: Turn) -> None:
    """Let texts go to this phone again."""
    turn.phone.opted_out_at = turn.phone.paused_at = None
    turn.reply(turn.say("phone.started", season=turn.season.name), turn.say("phone.started_short"))
    tell_again(turn.book, turn.person, turn.text.id)


def hear_language(turn: Turn, language: str) -> None:
    """Answer in another language from here on."""
    turn.phone.language = language
    turn.reply(turn.say("phone.language"))


def hear_read(turn: Turn, number: int | None) -> None:
    """Note that this person has read: a keep-out, else words to the crew, else his alerts; with none, ask again."""
    shut = mark_out_read(turn.book, turn.person, number)
    if shut:
        turn.reply(*thanks_for_ok(turn.book, turn.speech, shut))
        return
    told = mark_told_read(turn.book, turn.person) if number is None else []
    if told:
        turn.reply(turn.say("tell.read", names=turn.speech.names(told)))
        return
    waiting = unread_alerts(turn.book.session, turn.person.key)
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
    if thanks and unread_alerts(turn.book.session, turn.person.key):
        hear_read(turn, None)
    elif not repeat_question(turn):
        turn.reply(turn.say("read.kind" if thanks else "read.hello"))


def hear_stranger(book: FieldBook, text: InboxText, reading: Reading) -> None:
    """Keep a text from an unknown number for a person; answer at most once a day, and give nothing away."""
    text.state = InboxState.ASIDE
    text.needs_person = True
    phone = phone_state(book.session, text.sender)
    said = capitals(text.body).strip(" .!?") or "?"
    say = speech(phone.language or spoken_in(said) or "en")

    def answer(key: str, *variants: str) -> None:
        out = Draft(key, text.sender, Purpose.REPLY, first_fitting(*variants), book.now, None, text.id)
        put(book.session, out, book.now)

    match reading:
        case Sos():
            hear_strangers_sos(book, text)
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
        if isinstance(reading, Help):
            # HELP is answered always (standards.md, 5.2), beside the one reply a day
            answer(f"{Purpose.REPLY}:stranger-help:{text.sender}:{book.today}", *help_variants(say, book))
        elif isinstance(reading, Sos):
            answered = say.say("sos.stranger", emergency=book.season.emergency)
            answer(f"{Purpose.REPLY}:stranger:{text.sender}:{book.today}", answered)
        else:
            answer(f"{Purpose.REPLY}:stranger:{text.sender}:{book.today}", say.say("phone.unknown_number"))
