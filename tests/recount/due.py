"""What is due on a day: sites of rounds that are open or to begin, what was skipped, rechecks after a treatment."""

from datetime import date, datetime, time, timedelta

from tests.recount.closures import Closures
from tests.recount.rounds import FieldRecord, Round
from tests.recount.stages import plan_on, stage_on
from tests.recount.visits import Visit


def sites_due(record: FieldRecord, closures: Closures, day: date) -> dict[int, str]:
    """Give the sites of a field that are to be sampled on a day, with why: begun, due, skipped or recheck."""
    due: dict[int, str] = {}
    if not record.rounds:
        if plan_on(record.season, record.of, stage_on(record.of, record.said, day)) is not None:
            due = dict.fromkeys(record.of.sites, "due")
    else:
        newest = record.rounds[-1]
        for site in record.of.sites:
            why = _why(record, newest, site, day)
            if why is not None:
                due[site] = why
    for site, late in _to_recheck(record, closures, day).items():
        due[site] = "late recheck" if late else "recheck"
    today = record.ledger.visits(day)
    for site in list(due):
        visit = today.get(site)
        own = record.round_of(visit) if visit is not None else None
        skipped = visit is not None and visit.skipped is not None and not visit.begun
        if skipped or (visit is not None and own is not None and _is_done(record, own, visit)):
            del due[site]
    return due


def _is_done(record: FieldRecord, own: Round, visit: Visit) -> bool:
    """Say whether nothing is left to do at a site today: finished, or certain where the field has no other site."""
    return record.ended(own, visit) or record.is_sure(own, visit)


def _why(record: FieldRecord, newest: Round, site: int, day: date) -> str | None:
    if day >= newest.first + timedelta(newest.plan.every_days):
        return "due"
    ended = [visit.day for visit in newest.visits if visit.site == site and record.ended(newest, visit)]
    if ended and (site not in newest.skips or newest.skips[site].day < max(ended)):
        return None
    if record.is_over(newest, day - timedelta(1)) and site not in newest.skips:
        return None
    return "skipped" if site in newest.skips else "due"


def rechecked_from(closures: Closures, number: int, after: int, at: datetime) -> date | None:
    """Give the first day on which the last treatment of a field is to be rechecked; None while it may not be."""
    treated = [
        one
        for one in closures.all
        if one.field == number
        and (one.cause == "sprayed" or (one.cause == "words" and one.until is not None))
    ]
    if not treated or closures.until(number, at) == "unknown":
        return None
    last = max(treated, key=lambda one: one.at)
    ends = [one.until.date() for one in treated if one.until is not None and not one.over]
    return max([last.at.date() + timedelta(after), *ends])


def _to_recheck(record: FieldRecord, closures: Closures, day: date) -> dict[int, bool]:
    """Give the sites to recheck, with whether the last day for it is past."""
    zone = record.season.zone
    plan = plan_on(record.season, record.of, stage_on(record.of, record.said, day))
    if plan is None:
        return {}
    first, last = plan.recheck[0], plan.recheck[-1]
    start = rechecked_from(closures, record.of.number, first, datetime.combine(day, time.max, zone))
    if start is None or day < start:
        return {}
    return {
        site: day > start + timedelta(last - first)
        for site in record.of.sites
        if not any(
            visit.site == site and visit.day >= start and (visit.day < day or record.ended(one, visit))
            for one in record.rounds
            for visit in one.visits
        )
    }
