"""UNDO: what the newest text of its sender put down is taken back, and what it had replaced counts again."""

from collections.abc import Sequence

from bot.conversation.asking import Asked, ask
from bot.conversation.doubting import is_the_same_text
from bot.conversation.ending import reply_with_standing
from bot.conversation.sampling import undone_lately
from bot.conversation.taking import copy_of, copy_of_share, reopen_if_empty, sample_of, with_stop_shares
from bot.conversation.turn import Turn
from bot.replies import number_list, sample_label, share_code
from parsing import BREAK, counts_in_codes, echo_samples
from storage import (
    NawfRow,
    OwnRows,
    SampleRow,
    ShareRow,
    end_sample,
    newest_own_rows,
    shares_ended_by,
    standing_samples,
    visit_on,
)


def hear_undo(turn: Turn, site: int | None, *, asked: bool) -> None:
    """Take back the sender's newest counts or crop figures of today at a site, or ask whether to."""
    book = turn.book
    if site is None:
        mine = book.open_sites_of(turn.whose.key, turn.day)
        if len(mine) != 1:
            turn.reply(turn.say("undo.which"))
            return
        site, asked = mine[0], True
    if is_the_same_text(turn):
        turn.reply(turn.say("undo.same_text", number=site))
        return
    own = newest_own_rows(book.session, site, turn.day, turn.whose.key)
    if own.empty:
        turn.reply(turn.say("undo.nothing", number=site))
        return
    if asked or undone_lately(turn):
        _ask_undo(turn, site, own)
        return
    undo(turn, site)


def _ask_undo(turn: Turn, site: int, own: OwnRows) -> None:
    ask(turn, Asked.UNDO, turn.book.sites[site], {"number": site})
    row = (own.samples or own.shares or own.nawf)[0]
    values: dict[str, object] = {"number": site, "time": turn.speech.hour(turn.book.local(row.counted_at))}
    numbers = number_list([one.number for one in own.samples])
    turn.reply(
        turn.say("waits.undo", echo=_echo(turn, own), **values),
        turn.say("waits.undo", echo=_echo(turn, own, packed=True), **values),
        turn.say("waits.undo_short", numbers=numbers, **values),
    )


def _echo(turn: Turn, own: OwnRows, *, packed: bool = False) -> str:
    """Give what a text put down, as it would be sent."""
    samples, whole = with_stop_shares(own.samples, own.shares)
    parts = [echo_samples(samples, packed=packed)] if samples else []
    for share in whole:
        parts.append(f"{share_code(turn.speech, turn.season, share.code)} {share.n} {share.of}")
    parts += [f"{turn.say('nawf.word')} {' '.join(one.plants)}" for one in own.nawf]
    return BREAK.join(parts)


def undo(turn: Turn, site: int) -> None:
    """Take back what the sender's newest text put down; what it had replaced counts again, what was replaced stays."""
    session, now = turn.book.session, turn.book.now
    own = newest_own_rows(session, site, turn.day, turn.whose.key)
    standing = OwnRows(
        [row for row in own.samples if row.ended_at is None],
        [row for row in own.shares if row.ended_at is None],
        [row for row in own.nawf if row.ended_at is None],
    )
    stays = [row for row in own.samples if row.ended_at is not None]
    notes = [*_restore_all(turn, standing.samples), *_stays(turn, site, stays)]
    for share in standing.shares:
        share.ended_at, share.ended_by = now, turn.text.id
        notes += _restore_shares(turn, share)
    for nodes in standing.nawf:
        nodes.ended_at, nodes.ended_by = now, turn.text.id
        notes += _restore_nawf(turn, nodes)
    reopen_if_empty(turn, site)
    if standing.empty:
        turn.reply(" ".join(note[0] for note in notes))
        return
    numbers = number_list([one.number for one in standing.samples])
    lead = (
        turn.say("undo.done", number=site, echo=_echo(turn, standing)),
        turn.say("undo.done", number=site, echo=_echo(turn, standing, packed=True)),
        turn.say("undo.done_short", number=site, numbers=numbers),
    )
    reply_with_standing(turn, site, lead if standing.samples else lead[:1], tuple(notes))


def _restore_all(turn: Turn, standing: Sequence[SampleRow]) -> list[tuple[str, ...]]:
    """Take rows back and let those that they had replaced count again; say which."""
    again: list[SampleRow] = []
    for row in standing:
        end_sample(turn.book.session, row, turn.text.id, turn.book.now)
        for old in _replaced_by(turn, row):
            restored = copy_of(old)
            turn.book.session.add(restored)
            again.append(restored)
    turn.book.session.flush()
    if len(again) > 1:
        return [(turn.say("undo.restored_many", samples=number_list([row.number for row in again])),)]
    return [
        (turn.say("undo.restored", sample=sample_label(sample), counts=counts_in_codes(sample)),)
        for sample in map(sample_of, again)
    ]


def _replaced_by(turn: Turn, row: SampleRow) -> list[SampleRow]:
    """Give the rows whose place a row took: one of its own number, or all those that sums stood for."""
    if row.covers:
        return [one for one in row.visit.samples if one.ended_by == row.text_id]
    old = turn.book.session.get(SampleRow, row.replaces) if row.replaces is not None else None
    return [old] if old is not None else []


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
        said.append((turn.say("undo.stays", number=site, sample=number_list([row.number]), name=name),))
    return said


def _restore_shares(turn: Turn, share: ShareRow) -> list[tuple[str, ...]]:
    """Let the share that a taken-back one had replaced count again, or the stops whose place it took; say which."""
    session = turn.book.session
    session.flush()
    if share.replaces is not None:
        old = session.get(ShareRow, share.replaces)
        again = [old] if old is not None else []
    else:
        again = list(shares_ended_by(session, share.number, share.code, share.text_id))
    for one in again:
        session.add(copy_of_share(one))
    session.flush()
    if not again:
        return []
    samples, whole = with_stop_shares([], again)
    said = [echo_samples([sample]) for sample in samples]
    said += [f"{share_code(turn.speech, turn.season, one.code)} {one.n} {one.of}" for one in whole]
    return [(turn.say("undo.counts_again", what=BREAK.join(said)),)]


def _restore_nawf(turn: Turn, nodes: NawfRow) -> list[tuple[str, ...]]:
    turn.book.session.flush()
    old = turn.book.session.get(NawfRow, nodes.replaces) if nodes.replaces is not None else None
    if old is None:
        return []
    turn.book.session.add(
        NawfRow(
            number=old.number,
            field=old.field,
            day=old.day,
            plants=old.plants,
            person=old.person,
            text_id=old.text_id,
            counted_at=old.counted_at,
            replaces=old.replaces,
        )
    )
    turn.book.session.flush()
    what = f"{turn.say('nawf.word')} {' '.join(old.plants)}"
    return [(turn.say("undo.counts_again", what=what),)]
