"""How a site or a field stands, when asked."""

from bot.conversation.turn import Turn
from bot.field_book import FieldView, SiteView
from bot.replies import (
    CountsAnswer,
    Give,
    Stands,
    counts_reply,
    dropped_last,
    figure_clause,
    first_fitting,
    fitted,
    named,
    number_list,
    wanted_clause,
)
from bot.rules import FieldState, VisitEnd
from storage import visit_on


def shortly(reason: str | None, most: int) -> str | None:
    if reason is None or len(reason) <= most:
        return reason
    return reason[: most - 3].rsplit(" ", 1)[0] + "..."


def hear_status(turn: Turn, number: int) -> None:
    """Say how a site or a field of several sites stands."""
    book = turn.book
    turn.dated = True
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
        values["reason"] = speech.reason(shortly(row.reason, 40)) if row is not None else ""
        return first_fitting(
            *(speech.say(f"site.{key}", name=name, **values) for name in names), room=speech.room
        )
    row = visit_on(turn.book.session, view.site, view.day)
    values |= {"n": visit.samples_in, "planned": visit.plan.samples}
    values["reason"] = speech.reason(shortly(row.reason, 30)) if row is not None else ""
    key = {VisitEnd.DONE: "status_done", VisitEnd.SHORT: "status_short"}.get(visit.end, "status")
    stands = Stands(turn.season, view.field, view.site, visit, view.figures)
    lead = tuple(speech.say(f"site.{key}", **{**values, "name": name}) for name in (names[0], "", ""))
    missing: tuple[tuple[str, ...], ...] = ()
    if not visit.spread_known:
        missing = (dropped_last(speech.say("counts.from_totals")),)
    if visit.end is VisitEnd.OPEN and visit.missing:
        missing = ((speech.say("counts.missing", numbers=number_list(list(visit.missing))),),)
    answer = CountsAnswer((), lead=lead, notes=missing, shares_too=True)
    return counts_reply(speech, stands, answer, counted_in_lead=True)


def _field_status(turn: Turn, view: FieldView) -> str:
    speech, standing = turn.speech, view.standing
    names = named(view.field.name)
    if standing.state is FieldState.NONE:
        return first_fitting(
            *(speech.say("site.field_none", number=view.field.number, name=one) for one in names),
            room=speech.room,
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

    return fitted(build, speech.room)
