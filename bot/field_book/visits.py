"""Beginning a visit, and noting one that is skipped."""

from datetime import date

from bot.field_book.book import FieldBook
from bot.rules import (
    Plan,
)
from bot.season_file import level_to_json, plan_to_json
from storage import (
    Round,
    Visit,
    VisitState,
    holds_something,
    skipped_without_round,
    visit_on,
)


def begin_visit(
    book: FieldBook, site: int, day: date, person: str, plan: Plan, *, correction: bool = False
) -> Visit:
    """Give a site's visit of a day for a sample to come in, begun under a plan if there is none.

    A visit that was ended short goes on, unless the sample only corrects one that is in (`correction`). It
    belongs to the field's open round, else it begins a new one; sites skipped that day belong to it too.
    """
    field = book.sites[site]
    visit = visit_on(book.session, site, day)
    if visit is not None and visit.round is not None and holds_something(visit):
        if not correction:
            visit.state, visit.reason = VisitState.OPEN, None
        return visit
    under = book.open_round(field, day)
    if under is None:
        rows = [level_to_json(row) for row in book.candidate_rows(plan)]
        under = Round(field=field.number, first_day=day, plan=plan_to_json(plan), levels=rows)
        book.session.add(under)
        for skipped in skipped_without_round(book.session, field.number, day):
            skipped.round = under
    stage = book.stage_on(field, day)
    if visit is None:
        visit = Visit(site=site, field=field.number, day=day)
        book.session.add(visit)
    visit.round = under
    visit.plan, visit.levels = under.plan, under.levels
    visit.stage = str(stage) if stage else None
    visit.person, visit.begun_at = person, book.now
    visit.state, visit.reason = VisitState.OPEN, None
    book.session.flush()
    return visit


def skip_visit(book: FieldBook, site: int, day: date, person: str, reason: str | None) -> Visit:
    """Note that a site is not sampled on a day; this begins no round."""
    field = book.sites[site]
    under = book.open_round(field, day)
    key = field.plan_for(book.stage_on(field, day)) or field.plans[0][1]
    plan = under.plan if under else plan_to_json(book.season.plans[key])
    visit = visit_on(book.session, site, day)
    if visit is None:
        visit = Visit(site=site, field=field.number, day=day)
        book.session.add(visit)
    visit.round = under
    visit.plan = plan
    visit.levels = under.levels if under else []
    visit.person, visit.begun_at = person, book.now
    visit.state, visit.reason = VisitState.SKIPPED, reason
    book.session.flush()
    return visit
