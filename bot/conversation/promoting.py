"""Counts of somebody in training become samples of the visit: a check agrees, or a supervisor says so."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from bot.conversation.ahead import assigned_to
from bot.conversation.crossing import note_late_change, review_field, standing_of_older_round
from bot.conversation.taking import copy_of, copy_of_check
from bot.conversation.turn import Purpose, tell
from bot.field_book import FieldBook, begin_visit, facts_beside, facts_of_checks
from bot.replies import number_list
from bot.rules import Agreement, Person, Plan, Role, agreement
from storage import (
    CheckRow,
    SampleRow,
    VisitState,
    checks_ended_by,
    checks_of_trainees,
    checks_on,
    end_sample,
    first_time,
    standing_samples,
    visit_on,
)


@dataclass(frozen=True, slots=True)
class Promoted:
    """What of somebody's counts beside a site became samples, and which numbers stay as somebody else has them in."""

    person: str
    numbers: tuple[int, ...]
    left: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SetAgainst:
    """The counts of somebody in training set against one person's check."""

    trainee: str
    checker: str
    found: Agreement


def set_against(book: FieldBook, site: int, day: date, checker: str) -> list[SetAgainst]:
    """Set everybody's counts in training at a site on a day against one person's check of it."""
    facts = facts_beside(book, site, day)
    rows = checks_of_trainees(book.session, day, site=site)
    checks = [row for row in checks_on(book.session, site, day, checker) if not row.trainee]
    if facts is None or not checks:
        return []
    checked = facts_of_checks(checks, facts.plan.key)
    people = dict.fromkeys(row.person for row in rows if row.person != checker)
    return [
        SetAgainst(
            one,
            checker,
            agreement(
                facts, facts_of_checks((row for row in rows if row.person == one), facts.plan.key), checked
            ),
        )
        for one in people
    ]


def checkers_of(book: FieldBook, site: int, day: date) -> list[str]:
    """Give who checked a site on a day, in the order in which they began."""
    rows = sorted(checks_on(book.session, site, day), key=lambda row: row.id)
    return list(dict.fromkeys(row.person for row in rows if not row.trainee))


def promote(book: FieldBook, site: int, day: date, person: str, cause: int | None) -> Promoted:
    """Let somebody's counts beside a site become samples of its visit, all but numbers that others have in.

    Each sample keeps its text, its time, its effort. Beside sums over several samples none can stand, nor can
    what was counted under another plan than the visit has. `cause` is the text that let them count.
    """
    session, plan = book.session, book.plan_on(site, day)
    rows = checks_of_trainees(session, day, site=site, person=person)
    if plan is None:
        return Promoted(person, (), tuple(row.number for row in rows))
    visit = visit_on(session, site, day)
    there = {row.number: row for row in standing_samples(visit)} if visit is not None else {}
    sums = any(row.covers for row in there.values())
    taken = [row for row in rows if not sums and _may_stand(row, there.get(row.number), plan)]
    for row in taken:
        _stand(book, row, there.get(row.number), plan, cause)
    numbers = tuple(row.number for row in taken if not row.lost)
    return Promoted(person, numbers, tuple(row.number for row in rows if row not in taken and not row.lost))


def _may_stand(row: CheckRow, there: SampleRow | None, plan: Plan) -> bool:
    if row.plan != plan.key or row.number > plan.samples:
        return False
    return there is None or there.lost or there.person == row.person


def _stand(book: FieldBook, row: CheckRow, there: SampleRow | None, plan: Plan, cause: int | None) -> None:
    session = book.session
    correction = there is not None and not there.lost
    visit = begin_visit(book, row.site, row.day, row.person, plan, correction=correction)
    row.ended_at, row.ended_by = book.now, cause
    if there is not None:
        there.ended_at, there.ended_by = book.now, cause
    session.flush()
    known = book.person(row.person)
    session.add(
        SampleRow(
            visit=visit,
            number=row.number,
            form=row.form,
            counts=row.counts,
            extras=row.extras,
            lost=row.lost,
            effort=row.effort,
            person=row.person,
            assigned=known is not None and assigned_to(book, known, row.site),
            text_id=row.text_id,
            counted_at=row.counted_at,
            replaces=there.id if there is not None else None,
        )
    )
    session.flush()


def put_beside_again(book: FieldBook, checks: Iterable[CheckRow], cause: int) -> dict[str, list[int]]:
    """Put beside again what counts only since a check that is taken back; give whose and which.

    A sample that was replaced since stays as it is.
    """
    session = book.session
    again: dict[str, list[int]] = {}
    for site, day, text_id in dict.fromkeys((one.site, one.day, one.text_id) for one in checks):
        visit = visit_on(session, site, day)
        standing = standing_samples(visit) if visit is not None else []
        for row in checks_ended_by(session, site, day, text_id):
            sample = next((one for one in standing if _came_of(one, row)), None)
            if sample is None:
                continue
            end_sample(session, sample, cause, book.now)
            old = session.get(SampleRow, sample.replaces) if sample.replaces is not None else None
            if not any(one.number == row.number for one in checks_on(session, site, day, row.person)):
                # else he has counted it again since, and that stands beside
                session.add(copy_of_check(row))
            if old is not None:
                session.add(copy_of(old))
            session.flush()
            again.setdefault(row.person, []).append(row.number)
        if visit is not None and visit.state == VisitState.SHORT and not standing_samples(visit):
            visit.state, visit.reason = VisitState.OPEN, None
    session.flush()
    return again


def _came_of(sample: SampleRow, row: CheckRow) -> bool:
    return (sample.person, sample.number, sample.text_id) == (row.person, row.number, row.text_id)


def tell_they_stand(book: FieldBook, site: int, stand: Promoted, by: str, cause: int | None) -> None:
    """Tell somebody in training by text that counts of his stand now, and who checked or accepted them."""
    if not stand.numbers:
        return
    said = "notice.counts_stand" if cause is not None else "notice.counts_accepted"
    _tell_of_his_counts(book, site, stand.person, stand.numbers, said, by, cause)


def tell_beside_again(
    book: FieldBook, site: int, person: str, numbers: Sequence[int], by: str, cause: int
) -> None:
    """Tell somebody in training by text that counts of his wait again, as the check is taken back."""
    _tell_of_his_counts(book, site, person, numbers, "notice.counts_beside", by, cause)


def _tell_of_his_counts(
    book: FieldBook, site: int, whose: str, numbers: Sequence[int], said: str, by: str, cause: int | None
) -> None:
    person, other = book.person(whose), book.person(by)
    if person is None or whose == by:
        return
    name = other.first_name if other is not None else by
    values = {"number": site, "name": name, "numbers": number_list(list(numbers))}
    tell(
        book,
        person,
        f"{Purpose.NOTICE}:in-training:{cause or book.now.isoformat()}:{site}:{whose}",
        Purpose.NOTICE,
        lambda say: say.say(said, **values),
        cause=cause,
    )


@dataclass(frozen=True, slots=True)
class NotAccepted:
    """Nothing was accepted; `why` is a plain sentence."""

    why: str


def accept(
    book: FieldBook, site: int, day: date, by: str, person: str | None = None
) -> list[Promoted] | NotAccepted:
    """Let what people in training counted at a site count, as a supervisor of its field says so; of all or of one.

    Crossings and alerts follow as after any counts. That it was accepted, and by whom, stays on record.
    """
    field = book.sites.get(site)
    if field is None:
        return NotAccepted(f"{site} is no site of {book.season.name}")
    supervisor = book.person(by)
    if supervisor is None or not supervisor.active:
        return NotAccepted(f"{by!r} is nobody in {book.season.name}")
    if not _may_accept(supervisor, field.supervisors):
        return NotAccepted(
            f"{supervisor.name} is no supervisor of field {field.number}; only one accepts counts"
        )
    rows = checks_of_trainees(book.session, day, site=site)
    people = [one for one in dict.fromkeys(row.person for row in rows) if person in (None, one)]
    if not people:
        whose = "nobody in training" if person is None else f"no {person!r} in training"
        return NotAccepted(f"at {site} on {day} {whose} has counts that wait")
    older = standing_of_older_round(book, field, day) if day < book.today else None
    promoted = [promote(book, site, day, one, None) for one in people]
    for one in promoted:
        tell_they_stand(book, site, one, by, None)
        for number in one.numbers:
            first_time(book.session, f"accepted:{site}:{day}:{one.person}:{number}:{by}", book.now)
    if older is not None:
        note_late_change(book, older, None)
    review_field(book, field, None)
    return promoted


def _may_accept(person: Person, supervisors: Sequence[str]) -> bool:
    return Role.SUPERVISOR in person.roles and person.key in supervisors and not person.trainee
