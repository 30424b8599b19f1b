"""What is next for a scout: the rest of a field, the next site of his list, whether a field is his at all."""

from datetime import date

from bot.conversation.turn import Turn, tell_supervisors
from bot.replies import (
    Ahead,
    Stands,
    first_fitting,
)
from bot.rules import Field, Role, Standing, VisitEnd


def is_assigned(turn: Turn, field_: Field) -> bool:
    """Tell whether a field is the sender's to count: its scout, one of its scouts' leaders, its supervisor."""
    person = turn.person
    if person.key in field_.scouts:
        return True
    if Role.SUPERVISOR in person.roles and person.key in field_.supervisors:
        return True
    return Role.LEADER in person.roles and bool(set(person.crew) & set(field_.scouts))


def not_on_the_list(turn: Turn, site: int, field_: Field) -> tuple[str, ...]:
    """Say that a site is not on the sender's list, and let a supervisor know, once a visit."""
    supervisor = turn.supervisor_of(field_)
    tell_supervisors(
        turn.book,
        field_,
        f"unassigned:{site}:{turn.day}:{turn.person.key}",
        lambda speech: first_fitting(
            *(
                speech.say("notice.not_assigned", name=turn.person.first_name, site=site, field_name=name)
                for name in (f" {field_.name}", "")
            )
        ),
        cause=turn.text.id,
    )
    return (
        turn.say("counts.not_assigned", site=site, supervisor=supervisor),
        turn.say("counts.not_assigned_short", site=site, supervisor=supervisor),
    )


def what_is_next(turn: Turn, stands: Stands, day: date) -> Ahead:
    """Give what a scout does after a site that is finished or sure: the rest of its field, the next on his list."""
    visit, field_ = stands.visit, stands.field
    sure = any(one.certain and one.standing is Standing.ABOVE for one in stands.figures)
    if not visit.finished and not sure:
        return Ahead()
    here = _unfinished_sites(turn, field_, day)
    above = any(one.standing is Standing.ABOVE for one in stands.figures)
    mine = [one for one in turn.season.fields.values() if turn.person.key in one.scouts]
    ahead = [
        site
        for one in sorted(mine, key=lambda each: each.number != field_.number)
        for site in _unfinished_sites(turn, one, day)
        if site != stands.site
    ]
    rest = tuple(site for site in here if site != stands.site)
    return Ahead(rest if above else (), ahead[0] if ahead else None)


def _unfinished_sites(turn: Turn, field_: Field, day: date) -> list[int]:
    """Give the sites of a field that are due: not finished in its open round; all where a new one is due."""
    book = turn.book
    newest = book.newest_round(field_, day)
    if newest is None:
        return list(field_.sites)
    if book.is_over(newest, field_, day):
        return list(field_.sites) if book.days_are_out(newest, day) else []
    visits = book.newest_visits(newest)
    return [site for site in field_.sites if site not in visits or visits[site].end is VisitEnd.OPEN]
