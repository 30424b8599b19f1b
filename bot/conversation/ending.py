"""Ending and taking back: UNDO, SHORT, DONE, SKIP, and how a site or field stands when asked."""

from datetime import timedelta

from bot.conversation.asking import Asked, ask
from bot.conversation.counting import sample_of, what_is_next
from bot.conversation.turn import Turn
from bot.field_book import FieldView, SiteView, skip_visit
from bot.replies import (
    Ahead,
    CountsAnswer,
    Give,
    Stands,
    counts_reply,
    figure_clause,
    first_fitting,
    fitted,
    named,
    number_list,
    wanted_clause,
)
from bot.rules import FieldState, VisitEnd
from parsing import Undo, counts_in_codes, echo_samples
from storage import (
    SampleRow,
    ShareRow,
    VisitState,
    end_sample,
    holds_something,
    newest_own_rows,
    standing_samples,
    understood_lately,
    visit_on,
)

UNDO_AGAIN_WITHIN = timedelta(minutes=10)


def hear_undo(turn: Turn, site: int | None, *, asked: bool) -> None:
    """Take back the sender's newest counts or shares of today at a site, or ask whether to."""
    book = turn.book
    if site is None:
        mine = book.open_sites_of(turn.person.key, turn.day)
        if len(mine) != 1:
            turn.reply(turn.say("undo.which"))
            return
        site, asked = mine[0], True
    samples, shares = newest_own_rows(book.session, site, turn.day, turn.person.key)
    if not samples and not shares:
        turn.reply(turn.say("undo.nothing", number=site))
        return
    if asked or _undone_lately(turn):
        _ask_undo(turn, site, samples, shares)
        return
    undo(turn, site)


def _undone_lately(turn: Turn) -> bool:
    since = turn.text.received_at - UNDO_AGAIN_WITHIN
    return understood_lately(turn.book.session, turn.text, Undo.__name__, since)


def _ask_undo(turn: Turn, site: int, samples: list[SampleRow], shares: list[ShareRow]) -> None:
    field = turn.book.season.field_of(site)
    if field is None:
        return
    ask(turn, Asked.UNDO, field, {"number": site})
    row = (samples or shares)[0]
    clock = turn.speech.hour(turn.book.local(row.counted_at))
    if not samples:
        turn.reply(turn.say("waits.undo_share", number=site, n=shares[0].n, of=shares[0].of, time=clock))
        return
    echo = echo_samples([sample_of(one) for one in samples])
    numbers = number_list([one.number for one in samples])
    turn.reply(
        turn.say("waits.undo", number=site, echo=echo, time=clock),
        turn.say("waits.undo_short", number=site, numbers=numbers, time=clock),
    )


def undo(turn: Turn, site: int) -> None:
    """Take back what the sender's newest text put down; what it had replaced counts again, what was replaced stays."""
    session, now = turn.book.session, turn.book.now
    samples, shares = newest_own_rows(session, site, turn.day, turn.person.key)
    standing = [row for row in samples if row.ended_at is None]
    stays = [row for row in samples if row.ended_at is not None]
    notes: list[tuple[str, ...]] = []
    for row in standing:
        end_sample(session, row, turn.text.id, now)
        if row.replaces is not None and (old := _restored(turn, row)) is not None:
            counts = counts_in_codes(sample_of(old))
            notes.append((turn.say("undo.restored", sample=old.number, counts=counts),))
    for row in stays:
        visit = visit_on(session, site, turn.day)
        now_in = {one.number: one for one in standing_samples(visit)} if visit else {}
        other = now_in.get(row.number)
        person = turn.book.person(other.person) if other is not None else None
        name = person.first_name if person is not None else ""
        notes.append((turn.say("undo.stays", sample=row.number, name=name),))
    lead: tuple[str, ...] = ()
    for share in (one for one in shares if one.ended_at is None):
        share.ended_at, share.ended_by = now, turn.text.id
        _restore_share(turn, share)
        lead = (turn.say("undo.share", number=site, n=share.n, of=share.of),)
    if standing:
        echo = echo_samples([sample_of(one) for one in standing])
        numbers = number_list([one.number for one in standing])
        lead = (
            turn.say("undo.done", number=site, echo=echo),
            turn.say("undo.done_short", number=site, numbers=numbers),
        )
    _reopen_if_empty(turn, site)
    if not lead:
        turn.reply(" ".join(note[0] for note in notes))
        return
    _reply_with_standing(turn, site, lead, tuple(notes))


def _restored(turn: Turn, row: SampleRow) -> SampleRow | None:
    """Let the sample that a taken-back one had replaced count again, as a row of its own."""
    old = turn.book.session.get(SampleRow, row.replaces)
    if old is None:
        return None
    again = SampleRow(
        visit=row.visit,
        number=old.number,
        form=old.form,
        counts=old.counts,
        extras=old.extras,
        lost=old.lost,
        effort=old.effort,
        person=old.person,
        assigned=old.assigned,
        text_id=old.text_id,
        counted_at=old.counted_at,
        replaces=old.replaces,
    )
    turn.book.session.add(again)
    turn.book.session.flush()
    return again


def _restore_share(turn: Turn, share: ShareRow) -> None:
    old = turn.book.session.get(ShareRow, share.replaces) if share.replaces is not None else None
    if old is None:
        return
    turn.book.session.add(
        ShareRow(
            number=old.number,
            field=old.field,
            day=old.day,
            code=old.code,
            n=old.n,
            of=old.of,
            asked=old.asked,
            person=old.person,
            text_id=old.text_id,
            counted_at=old.counted_at,
            replaces=old.replaces,
        )
    )
    turn.book.session.flush()


def _reopen_if_empty(turn: Turn, site: int) -> None:
    visit = visit_on(turn.book.session, site, turn.day)
    if visit is not None and visit.state == VisitState.SHORT and not standing_samples(visit):
        visit.state, visit.reason = VisitState.OPEN, None


def _reply_with_standing(
    turn: Turn,
    site: int,
    lead: tuple[str, ...],
    notes: tuple[tuple[str, ...], ...] = (),
    *,
    ahead: bool = False,
) -> None:
    view = turn.book.site_view(site, turn.day)
    if view.visit is None:
        said = " ".join(note[0] for note in notes)
        turn.reply(*(f"{one} {said}".strip() for one in lead))
        return
    stands = Stands(turn.season, view.field, site, view.visit, view.figures)
    if turn.dropped_notes:
        notes = (*notes, turn.dropped_notes)
        turn.dropped_notes = ()
    next_ = what_is_next(turn, stands, turn.day) if ahead else Ahead()
    turn.reply(counts_reply(turn.speech, stands, CountsAnswer((), lead=lead, notes=notes, ahead=next_)))


def hear_short(turn: Turn, site: int, reason: str | None) -> None:
    """End a visit with what is in."""
    view = turn.book.site_view(site, turn.day)
    visit = visit_on(turn.book.session, site, turn.day)
    if visit is None or view.visit is None or not view.visit.samples_in:
        turn.reply(turn.say("site.nothing_to_end", number=site))
        return
    if view.visit.end is VisitEnd.DONE:
        said = {"number": site, "n": view.visit.samples_in, "planned": view.visit.plan.samples}
        turn.reply(turn.say("site.already_done", **said))
        return
    visit.state, visit.reason = VisitState.SHORT, reason
    turn.book.session.flush()
    _reply_ended(turn, site, reason)


def _reply_ended(turn: Turn, site: int, reason: str | None) -> None:
    view = turn.book.site_view(site, turn.day)
    if view.visit is None:
        return
    values = {"number": site, "n": view.visit.samples_in, "planned": view.visit.plan.samples}
    lead = (
        turn.say("site.short", reason=turn.speech.reason(_shortly(reason, 30)), **values),
        turn.say("site.short", reason="", **values),
    )
    stands = Stands(turn.season, view.field, site, view.visit, view.figures)
    ahead = what_is_next(turn, stands, turn.day)
    turn.reply(
        counts_reply(turn.speech, stands, CountsAnswer((), lead=lead, ahead=ahead), counted_in_lead=True)
    )


def _shortly(reason: str | None, most: int) -> str | None:
    if reason is None or len(reason) <= most:
        return reason
    return reason[: most - 3].rsplit(" ", 1)[0] + "..."


def hear_done(turn: Turn, site: int, reason: str | None) -> None:
    """Say how a site stands; an unfinished one is asked whether it is left so."""
    view = turn.book.site_view(site, turn.day)
    if view.visit is None or view.visit.finished or view.visit.skipped or not view.visit.samples_in:
        hear_status(turn, site)
        return
    ask(turn, Asked.FINISH, view.field, {"number": site, "reason": reason})
    turn.reply(
        turn.say("waits.finish", number=site, n=view.visit.samples_in, planned=view.visit.plan.samples)
    )


def hear_skip(turn: Turn, site: int, reason: str | None) -> None:
    """Note that a site is not sampled today; it is due again tomorrow."""
    visit = visit_on(turn.book.session, site, turn.day)
    view = turn.book.site_view(site, turn.day)
    if visit is not None and view.visit is not None and holds_something(visit) and not view.visit.skipped:
        turn.reply(
            turn.say(
                "site.skip_has_counts",
                number=site,
                n=view.visit.samples_in,
                planned=view.visit.plan.samples,
            )
        )
        return
    skip_visit(turn.book, site, turn.day, turn.person.key, reason)
    turn.reply(
        turn.say("site.skip", number=site, reason=turn.speech.reason(_shortly(reason, 60))),
        turn.say("site.skip", number=site, reason=""),
    )


def hear_status(turn: Turn, number: int) -> None:
    """Say how a site or a field of several sites stands."""
    book = turn.book
    if number in book.sites:
        turn.reply(_site_status(turn, book.site_view(number, turn.day)))
        return
    turn.reply(_field_status(turn, book.field_view(book.season.fields[number], turn.day)))


def _site_status(turn: Turn, view: SiteView) -> str:
    speech, visit = turn.speech, view.visit
    values: dict[str, object] = {"number": view.site, "day": speech.short_date(view.day), "reason": ""}
    names = named(view.field.name)
    if visit is None or visit.skipped:
        row = visit_on(turn.book.session, view.site, view.day)
        key = "status_none" if visit is None else "status_skipped"
        values["reason"] = speech.reason(_shortly(row.reason, 40)) if row is not None else ""
        return first_fitting(*(speech.say(f"site.{key}", name=name, **values) for name in names))
    row = visit_on(turn.book.session, view.site, view.day)
    values |= {"n": visit.samples_in, "planned": visit.plan.samples}
    values["reason"] = speech.reason(_shortly(row.reason, 30)) if row is not None else ""
    key = {VisitEnd.DONE: "status_done", VisitEnd.SHORT: "status_short"}.get(visit.end, "status")
    stands = Stands(turn.season, view.field, view.site, visit, view.figures)
    lead = tuple(speech.say(f"site.{key}", **{**values, "name": name}) for name in (names[0], "", ""))
    missing: tuple[tuple[str, ...], ...] = ()
    if visit.end is VisitEnd.OPEN and visit.missing:
        missing = ((speech.say("counts.missing", numbers=number_list(list(visit.missing))),),)
    answer = CountsAnswer((), lead=lead, notes=missing)
    return counts_reply(speech, stands, answer, counted_in_lead=True)


def _field_status(turn: Turn, view: FieldView) -> str:
    speech, standing = turn.speech, view.standing
    names = named(view.field.name)
    if standing.state is FieldState.NONE:
        return first_fitting(
            *(speech.say("site.field_none", number=view.field.number, name=one) for one in names)
        )
    state = speech.say(f"site.state_{standing.state.name.lower()}")
    finished = sum(visit.finished for visit in view.visits.values())

    def build(give: Give) -> str:
        name = names[min(give, len(names) - 1)] if give < Give.NAME else ""
        head = speech.say(
            "site.field",
            number=view.field.number,
            name=name,
            day=speech.short_date(view.last_day or turn.day),
            state=state,
            sites_in=finished,
            sites=len(view.field.sites),
        )
        parts = [head]
        for one in standing.figures:
            so_far = standing.state is not FieldState.FINAL
            parts.append(figure_clause(speech, turn.season, one, give, so_far=so_far))
            if one.above_alone:
                sites = " ".join(map(str, one.above_alone))
                parts.append(speech.say("site.above_alone", sites=sites))
            parts.append(wanted_clause(speech, one, view.field.number, view.field.number, give))
        return " ".join(part for part in parts if part)

    return fitted(build)
