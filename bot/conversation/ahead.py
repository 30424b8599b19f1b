"""What is next for a scout: the rest of a field, the next site of his list, whether a field is his at all."""

from collections.abc import Sequence
from datetime import date

from bot.conversation.turn import Turn, tell_supervisors
from bot.field_book import FieldBook, left_sites, own_sites, whose_site
from bot.replies import Ahead, Stands, dropped_last, first_fitting
from bot.rules import Field, Person, Role, Standing
from parsing import Sample, echo_samples
from storage import VisitState, standing_samples, visit_before


def is_assigned(turn: Turn, site: int) -> bool:
    """Tell whether a site is for him to count whose counts these are."""
    return assigned_to(turn.book, turn.whose, site)


def assigned_to(book: FieldBook, person: Person, site: int) -> bool:
    """Tell whether a site is somebody's to count: its scout or their leader, its supervisor, or handed to him."""
    field_ = book.sites[site]
    if person.key in field_.scouts or person.key in whose_site(book, site):
        return True
    if Role.SUPERVISOR in person.roles and person.key in field_.supervisors:
        return True
    return Role.LEADER in person.roles and bool(set(person.crew) & set(field_.scouts))


def not_on_the_list(turn: Turn, site: int, field_: Field) -> tuple[str, ...]:
    """Say that a site is not on the sender's list, and let a supervisor know, once a visit."""
    supervisor = turn.who_hears(field_)
    tell_supervisors(
        turn.book,
        field_,
        f"unassigned:{site}:{turn.day}:{turn.whose.key}",
        lambda speech: first_fitting(
            *(
                speech.say("notice.not_assigned", name=turn.whose.first_name, site=site, field_name=name)
                for name in (f" {field_.name}", "")
            )
        ),
        cause=turn.text.id,
    )
    if turn.whose.key != turn.person.key:
        name, key = turn.whose.first_name, turn.whose.key.upper()
        return (
            turn.say("counts.not_assigned_for", site=site, supervisor=supervisor, name=name, code=key),
            turn.say("counts.not_assigned_for_short", supervisor=supervisor, name=name),
        )
    return (
        turn.say("counts.not_assigned", site=site, supervisor=supervisor),
        turn.say("counts.not_assigned_short", site=site, supervisor=supervisor),
    )


def was_it_the_day_before(turn: Turn, site: int, stored: Sequence[Sample]) -> list[tuple[str, ...]]:
    """Ask whether samples that begin a visit go on with an unfinished one of the sender's of some days before."""
    before = visit_before(turn.book.session, site, turn.day)
    if before is None or before.round is None or before.state != VisitState.OPEN or turn.day_said:
        return []
    facts = turn.book.facts(before)
    own = any(row.person == turn.whose.key for row in standing_samples(before))
    numbers = {sample.number for sample in stored}
    recent = (turn.day - before.day).days < len(turn.speech.day_words)
    if facts.finished or not own or not recent or not numbers <= set(facts.missing) or 1 in numbers:
        return []
    weekday = turn.speech.day_words[before.day.weekday()]
    values: dict[str, object] = {"number": site, "day": weekday, "date": turn.speech.weekday_date(before.day)}
    full = turn.say("counts.was_it", echo=echo_samples(stored), **values)
    short = dropped_last(turn.say("counts.was_it_short", **values))
    return [(full, *short[1:])]


def what_is_next(turn: Turn, stands: Stands, day: date) -> Ahead:
    """Give what a scout does after a site that is finished or sure: the rest of its field, the next on his list."""
    visit, field_ = stands.visit, stands.field
    sure = any(one.certain and one.standing is Standing.ABOVE for one in stands.counted)
    if not visit.finished and not sure:
        return Ahead()
    book = turn.book
    here = left_sites(book, field_, day)
    above = any(one.standing is Standing.ABOVE for one in stands.counted)
    mine = own_sites(book, [turn.whose.key])
    fields = dict.fromkeys(book.sites[site] for site in mine)
    ahead = (
        site
        for one in sorted(fields, key=lambda each: each.number != field_.number)
        for site in left_sites(book, one, day)
        if site != stands.site and site in mine
    )
    rest = tuple(site for site in here if site != stands.site)
    return Ahead(rest if above else (), next(ahead, None))
