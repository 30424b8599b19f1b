"""The digest on the day's work: what was not done and by whom, what waits for a person, what was asked, the totals."""

from bot.digests.account import Account
from bot.field_book import (
    FieldBook,
    SiteView,
    first_outside_hours,
    handed_over,
    silent_since,
    waiting_trainees,
    whose_site,
)
from bot.replies import Speech
from bot.rules import Needs, VisitEnd
from storage import open_questions, texts_since, visit_on


def not_done_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Sites not finished, skipped or not begun, with who."""
    items: list[str] = []
    handed = handed_over(book)
    for site in account.sites:
        whose = [book.season.people[key] for key in whose_site(book, site.site)]
        names = ", ".join(one.first_name for one in whose) or say.say("digest.nobodys")
        row = visit_on(book.session, site.site, account.day)
        reason = say.say("digest.reason", reason=row.reason) if row is not None and row.reason else ""
        if site.visit is None:
            if site.site in account.due:
                items.append(
                    say.say("digest.not_begun_item", site=site.site, name=site.field.name, names=names)
                )
            continue
        begun_by = book.person(row.person) if row is not None else None
        if row is not None and begun_by is None and site.site not in handed:
            names = row.person  # gone from the file: his key is all that is left
        if begun_by is not None and (site.site not in handed or handed[site.site].person == begun_by.key):
            names = begun_by.first_name
            open_still = site.visit.end is VisitEnd.OPEN and begun_by.active
            since = silent_since(book, begun_by) if open_still else None
            if since is not None:
                names += say.say("digest.silent", time=say.hour(book.local(since)))
        if site.visit.skipped:
            items.append(
                say.say(
                    "digest.skipped_item", site=site.site, name=site.field.name, reason=reason, names=names
                )
            )
        elif site.visit.end is not VisitEnd.DONE and not site.is_enough:
            items.append(
                say.say(
                    "digest.not_done_item",
                    site=site.site,
                    name=site.field.name,
                    n=site.visit.samples_in,
                    planned=site.visit.plan.samples,
                    reason=reason,
                    names=names,
                )
            )
    return items


def question_items(book: FieldBook, account: Account) -> list[str]:
    numbers = {view.field.number for view in account.views}
    items = []
    for question in open_questions(book.session):
        person = book.person(question.person)
        if question.field in numbers and person is not None:
            number = question.waits.get("site", question.waits.get("number"))
            items.append(f"{number} ({person.first_name})")
    return items


def training_items(book: FieldBook, account: Account) -> list[str]:
    """Sites where somebody in training is through, and no check and no supervisor has let it stand."""
    sites = {site.site for site in account.sites}
    waiting = [(one.site, book.person(one.person)) for one in waiting_trainees(book, account.day, sites)]
    return [f"{site} ({person.first_name})" for site, person in waiting if person is not None]


def outside_hours_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Visits of today whose counts were sent outside the hours of their method, with when and by whom."""
    found = [(site.site, first_outside_hours(book, site.site, account.day)) for site in account.sites]
    return [
        say.say(
            "digest.outside_hours_item",
            site=site,
            time=say.clock(book.local(row.counted_at)),
            name=person.first_name if (person := book.person(row.person)) is not None else row.person,
        )
        for site, row in found
        if row is not None
    ]


def by_hand(book: FieldBook, say: Speech, account: Account) -> list[str]:
    texts = texts_since(book.session, account.since, needing_person=True)
    if not texts:
        return []
    # one that could not be worked on has nobody noted: its phone says whose it is
    people = [
        book.person(text.person) if text.person is not None else book.season.person_with(text.sender)
        for text in texts
    ]
    names = dict.fromkeys(one.first_name if one else say.say("digest.stranger") for one in people)
    key = "by_hand_one" if len(texts) == 1 else "by_hand"
    return [say.say(f"digest.{key}", n=len(texts), names=say.names(list(names)))]


def wanted(say: Speech, account: Account) -> list[str]:
    squares: dict[int, None] = {}
    stage: dict[int, None] = {}
    for site in account.sites:
        if site.visit is not None and site.visit.skipped:
            continue  # nothing was counted there that could want them
        for one in site.figures:
            if one.judged.squares_wanted:
                squares[site.field.number] = None
            if one.judged.needs is Needs.STAGE:
                stage[site.field.number] = None
    said = []
    if squares:
        said.append(say.say("digest.squares", fields=" ".join(map(str, squares))))
    if stage:
        said.append(say.say("digest.stage", fields=" ".join(map(str, stage))))
    return said


def totals(say: Speech, account: Account) -> list[str]:
    visits = [site.visit for site in account.sites if site.visit is not None and not site.visit.skipped]
    planned = [site for site in account.sites if site.visit is not None or site.site in account.due]
    if not planned:
        return []
    saved = sum(_saved(site) for site in account.sites)
    said = say.say(
        "digest.totals_saved" if saved else "digest.totals",
        sites=sum(visit.finished for visit in visits),
        sites_planned=len(planned),
        samples=sum(visit.samples_in for visit in visits),
        samples_planned=sum(site.plan_samples for site in planned),
        saved=saved,
    )
    return [said]


def _saved(site: SiteView) -> int:
    """Give how many planned samples a site did not need: at a stop line, or certain as its field's one site."""
    visit = site.visit
    if visit is None or visit.skipped or not (visit.stopped is not None or site.is_enough):
        return 0
    return max(visit.plan.samples - visit.samples_in, 0)
