"""Shares, n of m looked at: squares still on, bolls hurt and the like, of a whole site or stop by stop."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from bot.conversation.asking import Asked, ask
from bot.conversation.turn import Turn
from bot.field_book import SQUARES
from bot.replies import (
    CountsAnswer,
    Stands,
    counts_reply,
    number_list,
    share_level_clause,
    share_short,
    share_words,
    standing_words,
)
from bot.rules import FieldFigures, Needs, Share, SiteFigures
from parsing import Sample, ShareFound, ShareSaid
from storage import ShareRow, share_on, stop_shares_on

HALF = Fraction(1, 2)


def looks_turned_round(share: Share, n: int, of: int) -> bool:
    """Tell whether n may be what it should not be: under half still on, over half hurt (texts.md, shares)."""
    part = Fraction(n, of)
    return part < HALF if share.said == "still on" else part > HALF


def hear_share(turn: Turn, said: ShareSaid, *, sure: bool = False) -> None:
    """Keep a share of a whole site or field; one that may be turned round is asked."""
    book = turn.book
    field = book.season.field_of(said.number)
    share = book.season.share(said.code)
    if field is None or share is None:
        return
    found = ShareFound(said.code, said.n, said.of)
    values = {"number": said.number, **share_words(turn.speech, share, found)}
    if looks_turned_round(share, said.n, said.of) and not sure:
        ask(turn, Asked.SHARE, field, {"number": said.number, "code": said.code, "n": said.n, "of": said.of})
        key = "waits.share" if share.said == "still on" else "waits.share_part"
        turn.reply(turn.say(key, **values), turn.say("waits.share_short", **values))
        return
    session = book.session
    before = share_on(session, said.number, said.code, turn.day)
    if before is not None and (before.n, before.of) == (said.n, said.of):
        turn.reply(turn.say("share.same", **values))
        return
    stops = stop_shares_on(session, said.number, said.code, turn.day) if before is None else []
    old = [before] if before is not None else list(stops)
    was = ""
    if old:
        n, of = sum(row.n for row in old), sum(row.of for row in old)
        was = turn.say("share.was" if before is not None else "share.was_stops", n=n, of=of, stops=len(old))
    _replace(turn, old)
    session.add(_row(turn, said.number, found, None, old[0].id if before is not None else None, asked=sure))
    session.flush()
    full = turn.say("share.stored", was=was, looked=_looked(turn, share, said.of), **values)
    lead = (full, turn.say("share.stored", was=was, looked="", **values))
    if said.code != SQUARES:
        turn.reply(*(f"{one} {_stands(turn, said.number, share)}".strip() for one in lead))
        return
    view = book.site_view(said.number, turn.day) if said.number in book.sites else None
    if view is None or view.visit is None:
        turn.reply(*lead)
        return
    stands = Stands(turn.season, field, said.number, view.visit, view.figures)
    turn.reply(counts_reply(turn.speech, stands, CountsAnswer((), lead=lead)))


def _stands(turn: Turn, number: int, share: Share, *, bare: bool = False) -> str:
    """Say where a share of a site, or of a whole field, stands to its level; nothing where it has none.

    `bare` without the level: ABOVE.
    """
    book, field = turn.book, turn.book.season.field_of(number)
    if field is None:
        return ""
    stage = book.stage_on(field, turn.day)
    figures: Sequence[SiteFigures | FieldFigures]
    if number in book.sites:
        view = book.site_view(number, turn.day)
        figures = view.figures
        stage = view.visit.stage if view.visit is not None else stage
    else:
        figures = book.field_view(field, turn.day).standing.figures
    one = next((each for each in figures if each.target == share.key), None)
    if one is None:
        return ""
    if bare:
        return standing_words(turn.speech, one.standing, so_far=not one.certain, short=True)
    if one.judged.needs is Needs.STAGE:
        return turn.say("counts.send_stage", field=field.number)
    return share_level_clause(turn.speech, one, stage)


def _looked(turn: Turn, share: Share, of: int) -> str:
    """Say how many of those planned were looked at, where it is fewer."""
    return turn.say("share.looked", of=of, look=share.look) if of < share.look else ""


def _replace(turn: Turn, rows: Sequence[ShareRow]) -> None:
    for row in rows:
        row.ended_at, row.ended_by = turn.book.now, turn.text.id
    turn.book.session.flush()


def _row(
    turn: Turn, number: int, share: ShareFound, sample: int | None, replaces: int | None, *, asked: bool
) -> ShareRow:
    field = turn.book.season.field_of(number)
    return ShareRow(
        number=number,
        field=field.number if field is not None else number,
        day=turn.day,
        code=share.code,
        sample=sample,
        n=share.n,
        of=share.of,
        asked=asked,
        person=turn.whose.key,
        text_id=turn.text.id,
        counted_at=turn.sent,
        replaces=replaces,
    )


def turned_round(turn: Turn, samples: Sequence[Sample]) -> list[ShareFound]:
    """Give the shares that a text's stops add up to and that may be turned round."""
    sums: dict[str, ShareFound] = {}
    for found in (share for sample in samples for share in sample.shares):
        before = sums.get(found.code, ShareFound(found.code, 0, 0))
        sums[found.code] = ShareFound(found.code, before.n + found.n, before.of + found.of)
    known = [(turn.season.share(code), share) for code, share in sums.items()]
    return [share for one, share in known if one is not None and looks_turned_round(one, share.n, share.of)]


def uneven_stops(samples: Sequence[Sample]) -> list[str]:
    """Give the codes of shares of which not as many were looked at at every stop of a text."""
    looked: dict[str, set[int]] = {}
    for found in (share for sample in samples for share in sample.shares):
        looked.setdefault(found.code, set()).add(found.of)
    return [code for code, of in looked.items() if len(of) > 1]


@dataclass(frozen=True, slots=True)
class StopNote:
    """What must be said of the share of one stop: the key of its wording, and all its wordings."""

    key: str
    sample: int | None
    code: str
    wordings: tuple[str, ...]


MOST_NOTES = 2
"""Stops of which a reply tells each by itself; of more they are drawn together."""


def stop_notes(turn: Turn, site: int, notes: Sequence[StopNote]) -> list[tuple[str, ...]]:
    """Give what must be said of the shares of stops: of a few each by itself, of many in one sentence a kind."""
    if len(notes) <= MOST_NOTES:
        return [note.wordings for note in notes]
    kinds = dict.fromkeys((note.key, note.code) for note in notes)
    return [
        turn.wordings(
            f"share.many_{key}",
            number=site,
            code=code,
            samples=number_list([note.sample or 0 for note in notes if (note.key, note.code) == (key, code)]),
        )
        for key, code in kinds
    ]


def keep_stop_shares(turn: Turn, site: int, sample: Sample, *, asked: bool) -> tuple[Sample, list[StopNote]]:
    """Keep the shares of one stop; give the sample with those that stand, and what must be said of the rest.

    Refused are shares beside one of the whole site, and those that another's stand in for.
    """
    session = turn.book.session
    said: list[StopNote] = []
    kept: list[ShareFound] = []
    for found in sample.shares:
        whole = share_on(session, site, found.code, turn.day)
        values: dict[str, object] = {"number": site, "sample": sample.number, "code": found.code}
        if whole is not None:
            wordings = turn.wordings("share.whole_is_in", n=whole.n, of=whole.of, **values)
            said.append(StopNote("whole_is_in", sample.number, found.code, wordings))
            continue
        before = share_on(session, site, found.code, turn.day, sample.number)
        if before is not None and (before.n, before.of) == (found.n, found.of):
            kept.append(found)
            continue
        if before is not None and before.person != turn.whose.key:
            other = turn.book.person(before.person)
            values["name"] = other.first_name if other is not None else before.person
            wordings = turn.wordings("share.stop_of_other", n=before.n, of=before.of, **values)
            said.append(StopNote("stop_of_other", sample.number, found.code, wordings))
            continue
        kept.append(found)
        if before is not None:
            _replace(turn, [before])
            wordings = turn.wordings("share.stop_was", n=before.n, of=before.of, **values)
            said.append(StopNote("stop_was", sample.number, found.code, wordings))
        replaces = before.id if before is not None else None
        session.add(_row(turn, site, found, sample.number, replaces, asked=asked))
        session.flush()
    return replace(sample, shares=tuple(kept)), said


def sums_of_stops(turn: Turn, site: int, samples: Sequence[Sample]) -> list[tuple[str, ...]]:
    """Say what the shares of a text add up to at a site by now: BH 3 of 25 bolls, 12 %."""
    codes = dict.fromkeys(share.code for sample in samples for share in sample.shares)
    said: list[tuple[str, ...]] = []
    for code in codes:
        share = turn.season.share(code)
        rows = stop_shares_on(turn.book.session, site, code, turn.day)
        if share is None or len(rows) < 2:
            continue
        found = ShareFound(code, sum(row.n for row in rows), sum(row.of for row in rows))
        words = share_words(turn.speech, share, found)
        so_far, short = turn.say("share.so_far", **words), share_short(found)
        level, bare = _stands(turn, site, share), _stands(turn, site, share, bare=True)
        said.append(
            (f"{so_far} {level}".strip(), f"{short}. {level}".strip(), f"{short}: {bare}" if bare else short)
        )
    return said
