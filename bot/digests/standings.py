"""The digest on fields and their levels: above, alerts that wait, in range, close calls, what changed late."""

from bot.conversation import reasons_words
from bot.digests.account import Account
from bot.field_book import FieldBook, FieldView
from bot.replies import (
    Speech,
    density_words,
    figure_number,
    is_close_call,
    level_ratio,
    level_words,
    phone_words,
    standing_words,
    target_words,
)
from bot.rules import Field, FieldFigures, Standing
from storage import CrossingRow, OutboxState, last_crossing


def above_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
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


def waiting_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
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


def in_range_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    return [
        say.say(
            "digest.in_range_item",
            **_named(say, view, one),
            target=target_words(say, book.season, one.target, codes=False),
        )
        for view, one in _figures(account, Standing.IN_RANGE)
    ]


def close_call_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
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


def late_items(say: Speech, account: Account) -> list[str]:
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


def _read(book: FieldBook, say: Speech, one: Field, row: CrossingRow | None) -> str:
    """Whether the growers have read their alert, and since when not; those of the field now."""
    if not one.growers:
        return say.say("digest.no_grower")
    growing = [key for key in one.growers if book.season.people[key].active]
    alerts = [
        alert
        for alert in (row.alerts if row is not None else ())
        if alert.withdrawn_at is None and alert.person in growing
    ]
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
