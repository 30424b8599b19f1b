"""The digest: a day's account to each supervisor and leader, once per local day, in at most three texts.

It is due when its key is missing, its hour has passed and its day is not over; nothing else is kept.
"""

from collections.abc import Sequence
from datetime import timedelta

from bot.conversation import reasons_words
from bot.digests.account import Account, Section, account_of, fields_of
from bot.field_book import (
    FieldBook,
    FieldView,
    SiteView,
    first_outside_hours,
    kept_out,
    silent_since,
    waiting_trainees,
    whose_site,
)
from bot.replies import (
    Speech,
    capital,
    density_words,
    figure_number,
    is_close_call,
    level_ratio,
    level_words,
    pages,
    phone_words,
    standing_words,
    target_words,
    to_words,
)
from bot.rules import (
    Field,
    FieldFigures,
    Needs,
    Person,
    Standing,
    VisitEnd,
)
from storage import (
    CrossingRow,
    OutboxState,
    last_crossing,
    open_questions,
    texts_since,
    visit_on,
)

MOST_TEXTS = 3


def digest_texts(book: FieldBook, say: Speech, fields: Sequence[Field]) -> list[str]:
    """Give the digest of some fields as of now, in at most three texts, most urgent first."""
    account = account_of(book, fields)
    items = [said for one in digest_sections(book, say, account) for said in _pieces(say, one)]
    head = capital(say.weekday_date(account.day))

    def mark(number: int, count: int) -> str:
        if count == 1:
            return f"{head}."
        return f"{head} {number}/{count}." if number == 1 else f"{number}/{count}."

    return pages(
        items or [say.say("digest.nothing")],
        MOST_TEXTS,
        mark,
        lambda left: say.say("digest.and_more", n=left),
        say.room,
    )


def today_texts(book: FieldBook, say: Speech, person: Person) -> list[str]:
    """Give the digest as of now of somebody's fields; the first text is within the room of his speech."""
    return digest_texts(book, say, fields_of(book.season, person))


def digest_sections(book: FieldBook, say: Speech, account: Account) -> list[Section]:
    """Give every part of a digest in its order, most urgent first, those with nothing to say too."""
    return [
        Section("above", tuple(_above_items(book, say, account))),
        Section("waits", tuple(_waiting_items(book, say, account))),
        Section("in_range", tuple(_in_range_items(book, say, account))),
        Section("close_call", tuple(_close_call_items(book, say, account))),
        Section("not_done", tuple(_not_done_items(book, say, account))),
        Section("shut", tuple(_shut_items(book, say, account))),
        Section("open_questions", tuple(_question_items(book, account))),
        Section("training", tuple(_training_items(book, account))),
        Section("outside_hours", tuple(_outside_hours_items(book, say, account))),
        Section("by_hand", tuple(_by_hand(book, say)), headed=False),
        Section("wanted", tuple(_wanted(say, account)), headed=False),
        Section("totals", tuple(_totals(say, account)), headed=False),
        Section("late", tuple(_late_items(say, account))),
    ]


def _pieces(say: Speech, section: Section) -> list[str]:
    """Give a section as pieces that may stand on two pages: its heading with the first item, then the others."""
    items = section.items
    if not section.headed:
        return list(items)
    said = [f"{item};" for item in items[:-1]] + [f"{item}." for item in items[-1:]]
    return [
        say.say(f"digest.{section.name}", items=one) if number == 0 else one
        for number, one in enumerate(said)
    ]


def _figures(account: Account, standing: Standing) -> list[tuple[FieldView, FieldFigures]]:
    return [
        (view, one)
        for view in account.views
        for one in view.standing.figures
        if view.standing.told(one.target) is standing and view.last_seen == account.day
    ]


def _named(say: Speech, view: FieldView, one: FieldFigures) -> dict[str, object]:
    """Give a field's number, name and figure, for a wording that says them."""
    return {
        "field": view.field.number,
        "name": view.field.name,
        "density": density_words(say, one),
        "per": say.effort(one.per) if one.per else "",
        "level": level_words(one.judged),
    }


def _above_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Fields above, the worst first: ratio to the level; not read since, or read."""
    items: list[tuple[float, str]] = []
    for view, one in _figures(account, Standing.ABOVE):
        ratio = level_ratio(one)
        target = target_words(say, book.season, one.target, codes=False)
        row = last_crossing(book.session, view.field.number, one.target)
        read = _read(book, say, view.field, row)
        if ratio is None or one.judged.by_squares:
            said = say.say("digest.above_item_or", **_named(say, view, one), target=target, read=read)
        else:
            said = say.say(
                "digest.above_item",
                **_named(say, view, one),
                target=target,
                ratio=figure_number(ratio),
                read=read,
            )
        items.append((float(ratio or 0), said))
    return [said for _, said in sorted(items, key=lambda item: -item[0])]


def _read(book: FieldBook, say: Speech, one: Field, row: CrossingRow | None) -> str:
    """Whether the growers have read their alert, and since when not."""
    if not one.growers:
        return say.say("digest.no_grower")
    alerts = [alert for alert in row.alerts if alert.withdrawn_at is None] if row is not None else []
    left = [alert for alert in alerts if alert.outbox.state == OutboxState.LEFT and alert.outbox.left_at]
    if not left:
        return say.say("digest.not_told")
    unread = [alert for alert in left if alert.read_at is None]
    if unread:
        first = min(alert.outbox.left_at for alert in unread if alert.outbox.left_at)
        late = [book.person(alert.person) for alert in unread]
        names = say.names([f"{one.name}, {phone_words(one.phone)}" for one in late if one is not None])
        return say.say("digest.not_read", time=say.hour(book.local(first)), names=names)
    last = max(alert.read_at for alert in left if alert.read_at)
    return say.say("digest.read", time=say.hour(book.local(last)))


def _waiting_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    items = []
    for view in account.views:
        for one in view.standing.figures:
            row = last_crossing(book.session, view.field.number, one.target)
            if row is None or not row.reasons:
                continue
            target = target_words(say, book.season, one.target, codes=False)
            reasons = ", ".join(reasons_words(say, row.reasons))
            items.append(
                say.say("digest.waits_item", **_named(say, view, one), target=target, reasons=reasons)
            )
    return items


def _in_range_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    return [
        say.say(
            "digest.in_range_item",
            **_named(say, view, one),
            target=target_words(say, book.season, one.target, codes=False),
        )
        for view, one in _figures(account, Standing.IN_RANGE)
    ]


def _close_call_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Sites finished today whose interval holds their level: more samples could tell them apart."""
    return [
        say.say(
            "digest.close_call_item",
            site=site.site,
            name=site.field.name,
            per=say.effort(one.per) if one.per else "",
            target=target_words(say, book.season, one.target, codes=False),
            density=density_words(say, one),
            level=level_words(one.judged),
        )
        for site in account.sites
        for one in site.figures
        if is_close_call(one)
    ]


def _not_done_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Sites not finished, skipped or not begun, with who."""
    items: list[str] = []
    for site in account.sites:
        names = ", ".join(book.season.people[key].first_name for key in whose_site(book, site.site))
        row = visit_on(book.session, site.site, account.day)
        reason = say.say("digest.reason", reason=row.reason) if row is not None and row.reason else ""
        if site.visit is None:
            if site.site in account.due:
                items.append(
                    say.say("digest.not_begun_item", site=site.site, name=site.field.name, names=names)
                )
            continue
        if row is not None and (who := book.person(row.person)) is not None:
            names = who.first_name
            since = silent_since(book, who) if site.visit.end is VisitEnd.OPEN else None
            if since is not None:
                names += say.say("digest.silent", time=say.hour(book.local(since)))
        if site.visit.skipped:
            items.append(
                say.say(
                    "digest.skipped_item", site=site.site, name=site.field.name, reason=reason, names=names
                )
            )
        elif site.visit.end is not VisitEnd.DONE and not is_enough(site):
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


def _shut_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """Fields that nobody may enter, and until when."""
    shut = [(view.field, kept_out(book, view.field)) for view in account.views]
    return [
        say.say(
            "digest.shut_item",
            field=field.number,
            name=field.name,
            until=to_words(say, book.local(one.until) if one.until is not None else None),
        )
        for field, one in shut
        if one is not None
    ]


def is_enough(site: SiteView) -> bool:
    """Tell whether a site need not be finished: the one of its field, and above for sure."""
    sure = any(one.certain and one.standing is Standing.ABOVE for one in site.figures if one.share is None)
    return sure and not site.field.several


def _question_items(book: FieldBook, account: Account) -> list[str]:
    numbers = {view.field.number for view in account.views}
    items = []
    for question in open_questions(book.session):
        person = book.person(question.person)
        if question.field in numbers and person is not None:
            number = question.waits.get("site", question.waits.get("number"))
            items.append(f"{number} ({person.first_name})")
    return items


def _training_items(book: FieldBook, account: Account) -> list[str]:
    """Sites where somebody in training is through, and no check and no supervisor has let it stand."""
    sites = {site.site for site in account.sites}
    waiting = [(one.site, book.person(one.person)) for one in waiting_trainees(book, account.day, sites)]
    return [f"{site} ({person.first_name})" for site, person in waiting if person is not None]


def _outside_hours_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
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


def _by_hand(book: FieldBook, say: Speech) -> list[str]:
    texts = texts_since(
        book.session, book.at(book.today, book.season.day_ends) - timedelta(days=1), needing_person=True
    )
    if not texts:
        return []
    people = [book.season.person_with(text.sender) for text in texts]
    names = dict.fromkeys(one.first_name if one else say.say("digest.stranger") for one in people)
    key = "by_hand_one" if len(texts) == 1 else "by_hand"
    return [say.say(f"digest.{key}", n=len(texts), names=say.names(list(names)))]


def _wanted(say: Speech, account: Account) -> list[str]:
    squares: dict[int, None] = {}
    stage: dict[int, None] = {}
    for site in account.sites:
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


def _totals(say: Speech, account: Account) -> list[str]:
    visits = [site.visit for site in account.sites if site.visit is not None and not site.visit.skipped]
    planned = [site for site in account.sites if site.visit is not None or site.site in account.due]
    if not planned:
        return []
    saved = sum(_saved(site) for site in account.sites)
    totals = say.say(
        "digest.totals_saved" if saved else "digest.totals",
        sites=sum(visit.finished for visit in visits),
        sites_planned=len(planned),
        samples=sum(visit.samples_in for visit in visits),
        samples_planned=sum(site.plan_samples for site in planned),
        saved=saved,
    )
    return [totals]


def _saved(site: SiteView) -> int:
    """Give how many planned samples a site did not need: at a stop line, or certain as its field's one site."""
    visit = site.visit
    if visit is None or visit.skipped or not (visit.stopped is not None or is_enough(site)):
        return 0
    return max(visit.plan.samples - visit.samples_in, 0)


def _late_items(say: Speech, account: Account) -> list[str]:
    items = []
    for row in account.late:
        view = next(view for view in account.views if view.field.number == row.field)
        one = next((each for each in view.standing.figures if each.target == row.target), None)
        now = standing_words(say, one.standing) if one is not None else standing_words(say, Standing.UNKNOWN)
        before = say.say(f"standing.{Standing.ABOVE.value}")
        if row.late:
            known = row.standing in set(Standing)
            now = standing_words(say, Standing(row.standing) if known else Standing.UNKNOWN)
            before = standing_words(say, Standing(row.figures["before"]))
        items.append(
            say.say(
                "digest.late_item", field=row.field, day=say.short_date(row.day), standing=now, before=before
            )
        )
    return items
