"""UNDO: what the newest text of its sender put down is taken back, and what it had replaced counts again."""

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation.asking import Asked, ask
from bot.conversation.ending import reply_with_standing
from bot.conversation.taking import sample_of
from bot.conversation.turn import Turn
from bot.replies import (
    number_list,
)
from parsing import Undo, counts_in_codes, echo_samples
from storage import (
    SampleRow,
    ShareRow,
    VisitState,
    end_sample,
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
    notes = [*_restore_all(turn, standing), *_stays(turn, site, stays)]
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
    reply_with_standing(turn, site, lead, tuple(notes))


def _restore_all(turn: Turn, standing: Sequence[SampleRow]) -> list[tuple[str, ...]]:
    """Take rows back and let those that they had replaced count again; say which."""
    again: list[SampleRow] = []
    for row in standing:
        end_sample(turn.book.session, row, turn.text.id, turn.book.now)
        if row.replaces is not None and (old := _restored(turn, row)) is not None:
            again.append(old)
    if len(again) > 1:
        return [(turn.say("undo.restored_many", samples=number_list([row.number for row in again])),)]
    return [
        (turn.say("undo.restored", sample=row.number, counts=counts_in_codes(sample_of(row))),)
        for row in again
    ]


def _stays(turn: Turn, site: int, stays: Sequence[SampleRow]) -> list[tuple[str, ...]]:
    """Say which samples stay because another has replaced them since, and who."""
    if len(stays) > 1:
        samples = number_list([row.number for row in stays])
        return [(turn.say("undo.stays_many", number=site, samples=samples),)]
    visit = visit_on(turn.book.session, site, turn.day)
    now_in = {one.number: one for one in standing_samples(visit)} if visit else {}
    said: list[tuple[str, ...]] = []
    for row in stays:
        other = now_in.get(row.number)
        person = turn.book.person(other.person) if other is not None else None
        name = person.first_name if person is not None else ""
        said.append((turn.say("undo.stays", number=site, sample=row.number, name=name),))
    return said


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
