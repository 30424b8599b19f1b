"""Ending and taking back: UNDO, SHORT, DONE, SKIP, and how a site or field stands when asked."""

from bot.conversation.ahead import is_assigned, what_is_next
from bot.conversation.asking import Asked, ask
from bot.conversation.status import hear_status, shortly
from bot.conversation.turn import Turn
from bot.field_book import skip_visit
from bot.replies import Ahead, CountsAnswer, Stands, counts_reply, named
from bot.rules import VisitEnd
from storage import VisitState, holds_something, visit_on


def reply_with_standing(
    turn: Turn,
    site: int,
    lead: tuple[str, ...],
    notes: tuple[tuple[str, ...], ...] = (),
    *,
    ahead: bool = False,
    first: bool = False,
) -> None:
    """Answer with what was done and how the site stands after it; `first` where that begins a visit."""
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
    turn.reply(
        counts_reply(turn.speech, stands, CountsAnswer((), lead=lead, notes=notes, ahead=next_, first=first))
    )


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
        turn.say("site.short", reason=turn.speech.reason(shortly(reason, 30)), **values),
        turn.say("site.short", reason="", **values),
    )
    stands = Stands(turn.season, view.field, site, view.visit, view.figures)
    ahead = what_is_next(turn, stands, turn.day)
    turn.reply(
        counts_reply(turn.speech, stands, CountsAnswer((), lead=lead, ahead=ahead), counted_in_lead=True)
    )


def hear_done(turn: Turn, site: int, reason: str | None) -> None:
    """Say how a site stands; an unfinished one is asked whether it is left so."""
    view = turn.book.site_view(site, turn.day)
    if view.visit is None or view.visit.finished or view.visit.skipped or not view.visit.samples_in:
        hear_status(turn, site)
        return
    ask(turn, Asked.FINISH, view.field, {"number": site, "reason": reason})
    values: dict[str, object] = {
        "number": site,
        "n": view.visit.samples_in,
        "planned": view.visit.plan.samples,
    }
    if reason is not None:
        said = (turn.speech.reason(shortly(reason, most)) for most in (60, 30, 15))
        asked = [turn.say("waits.finish_reason", reason=one, **values) for one in said]
        turn.reply(*asked, turn.say("waits.finish_bare", **values))
        return
    turn.reply(*turn.wordings("waits.finish", **values), turn.say("waits.finish_bare", **values))


def hear_skip(turn: Turn, site: int, reason: str | None, *, sure: bool = False) -> None:
    """Note that a site is not sampled today, due again tomorrow; one that is not the sender's is asked."""
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
    if not sure and not is_assigned(turn, site):
        ask(turn, Asked.SKIP, turn.book.sites[site], {"number": site, "reason": reason})
        names = named(turn.book.sites[site].name)
        turn.reply(*(turn.say("waits.skip", number=site, name=name) for name in names))
        return
    skip_visit(turn.book, site, turn.day, turn.whose.key, reason)
    turn.reply(
        turn.say("site.skip", number=site, reason=turn.speech.reason(shortly(reason, 60))),
        turn.say("site.skip", number=site, reason=""),
    )
