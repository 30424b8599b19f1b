"""PLAN: the sites of somebody today, what is left of them, and the fields that nobody may enter, first."""

from collections.abc import Iterable
from datetime import date

from bot.conversation.paging import reply_on_pages
from bot.conversation.turn import Turn
from bot.field_book import (
    FieldBook,
    FieldDue,
    due_on,
    handed_over,
    in_training,
    kept_out,
    sites_in_view,
    whose_site,
)
from bot.replies import DayPlan, Going, Speech, plan_texts
from bot.rules import Field, Person, PersonKey, Plan, Role
from storage import people_counting

PLANNED = frozenset({Role.SCOUT, Role.LEADER, Role.SUPERVISOR})
"""Whose sites PLAN says."""


def hear_plan(turn: Turn) -> None:
    """Answer PLAN; what one text cannot hold comes in a second one."""
    if not turn.person.roles & PLANNED:
        turn.reply(turn.say("plan.not_yours", contact=turn.season.contact))
        return
    turn.dated = True
    reply_on_pages(turn, plan_texts(turn.speech, plan_of_day(turn.book, turn.person)), "plan")


def plan_of_day(book: FieldBook, person: Person) -> DayPlan:
    """Give what somebody has today: his sites, his crew's, or those of the fields that he supervises."""
    today = book.today
    sites = {*sites_in_view(book, person), *book.open_sites_of(person.key, today)}
    fields = list(dict.fromkeys(field for site, field in book.sites.items() if site in sites))
    counted = [
        field
        for field in book.season.fields.values()
        if field not in fields and person.key in people_counting(book.session, field.number, today)
    ]
    shut = {field.number: kept_out(book, field) for field in (*fields, *counted)}
    going: list[Going] = []
    done: list[int] = []
    stage_wanted: list[int] = []
    plans: dict[str, Plan] = {}
    mine = _own_keys(person)
    for field in fields:
        if shut[field.number] is not None:
            continue
        due = due_on(book, field, today)
        for site in (one for one in due.sites if one in sites):
            plan = book.plan_on(site, today)
            if plan is None:
                stage_wanted.append(field.number)
            elif _is_over(book, site, today, person):
                done.append(site)
            else:
                plans[plan.key] = plan
                going.append(_going(book, site, field, plan, due, person, mine))
    return DayPlan(
        now=book.local(book.now),
        shut=tuple(
            (number, book.local(one.until) if one.until is not None else None)
            for number, one in sorted(shut.items())
            if one is not None
        ),
        going=tuple(going),
        stage_wanted=tuple(dict.fromkeys(stage_wanted)),
        handed_on=tuple(_handed_on(book, mine, today)),
        hours=tuple(
            dict.fromkeys((plan.method, plan.hours) for plan in plans.values() if plan.hours is not None)
        ),
        done=tuple(done),
    )


def _own_keys(person: Person) -> frozenset[PersonKey]:
    """Give those whose sites somebody may think of as his: himself, or his crew and himself."""
    crew = person.crew if Role.LEADER in person.roles else ()
    return frozenset({person.key, *crew})


def _is_over(book: FieldBook, site: int, day: date, person: Person) -> bool:
    """Tell whether a site is through for the day; for somebody in training once all of his is in."""
    if person.trainee and in_training(book, site, day, person.key).complete:
        return True
    return book.site_view(site, day).is_over


def _going(
    book: FieldBook,
    site: int,
    field: Field,
    plan: Plan,
    due: FieldDue,
    person: Person,
    mine: frozenset[PersonKey],
) -> Going:
    visit = book.site_view(site, book.today).visit
    counted = visit.samples_in if visit is not None and not visit.skipped else 0
    if person.trainee:
        counted = len(in_training(book, site, book.today, person.key).numbers)
    whose = whose_site(book, site)
    row = handed_over(book).get(site)
    handed_in = row is not None and row.person in mine and row.person not in field.scouts
    return Going(
        site,
        field.number,
        plan.method,
        plan.samples,
        at_most=plan.stop is not None,
        left=plan.samples - counted if counted else None,
        recheck=site in due.rechecks,
        late=due.late.get(site, 0),
        whose="" if person.key in whose else _names(book, whose),
        given_by=_names(book, field.scouts) if handed_in else "",
    )


def _handed_on(book: FieldBook, mine: frozenset[PersonKey], day: date) -> Iterable[tuple[int, str]]:
    """Give the sites of somebody's own fields that are due, and are another's for their next visit."""
    for site, row in handed_over(book).items():
        field = book.sites[site]
        if mine & set(field.scouts) and row.person not in mine and site in due_on(book, field, day).sites:
            yield site, _names(book, [PersonKey(row.person)])


def _names(book: FieldBook, keys: Iterable[PersonKey]) -> str:
    """Give first names in a row, as short as they can be."""
    people = [book.season.people[key] for key in keys if key in book.season.people]
    return ", ".join(one.first_name for one in people)


def plan_words_of(book: FieldBook, speech: Speech, site: int) -> str:
    """Give how a site is to be sampled, in a sentence: Sheet, 10 samples. Empty where its plan is not known."""
    plan = book.plan_on(site, book.today)
    if plan is None:
        return ""
    return speech.say("plan.method", method=speech.say(f"methods.{plan.method.value}"), n=plan.samples)
