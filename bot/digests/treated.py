"""The digest on treated fields: those kept shut, and what a recheck found, which is of counts and of nothing else."""

from collections.abc import Iterator

from bot.digests.account import Account
from bot.field_book import FieldBook, Recheck, Treated, kept_out, treatments
from bot.replies import Speech, figure_number, target_words, to_words
from bot.rules import Effect, Fewer, Field, Finding, NoCheck, Seen, Way

NEWEST = 2
"""Treatments of a field that are looked through: a count put right now may be of the last but one."""

LONGEST_NAME = 14
"""A target of a longer name is said by its codes, so that what is said of it stands on one page."""

LEFT_OUT = {
    NoCheck.SHUT: "shut",
    NoCheck.NOT_COUNTED: "not_counted",
    NoCheck.OTHER_COUNT: "other",
    NoCheck.NONE_THERE: "none",
}
WAYS = {Way.HENDERSON_TILTON: "after_ht", Way.ABBOTT: "after_abbott", Way.BEFORE_AFTER: "after_plain"}
NOT_COMPARED = {Finding.OTHER_COUNT: "other", Finding.FEW_SITES: "few_sites"}


def shut_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
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


def after_items(book: FieldBook, say: Speech, account: Account) -> list[str]:
    """What was counted before and after a treatment, once the recheck is final and when it was changed since."""
    since = account.since
    items: list[str] = []
    for view in account.views:
        for one in treatments(book, view.field, account.day, newest=NEWEST):
            if one.recheck is not Recheck.FINAL or one.final_at is None:
                continue
            changed = one.final_at <= since
            if changed and (one.changed_at is None or one.changed_at <= since):
                continue
            said = list(_of_treatment(book, say, view.field, one))
            items += [say.say("digest.after_changed", item=item) if changed else item for item in said]
    return items


def _of_treatment(book: FieldBook, say: Speech, field: Field, one: Treated) -> Iterator[str]:
    """Say each target that was there before or after; where there was none at all say that."""
    known = [effect for effect in one.effects if effect.target in book.season.targets]
    there = [effect for effect in known if not _none_at_all(effect)]
    for effect in there or known[:1]:
        yield _effect_words(book, say, field, one, effect)


def _none_at_all(one: Effect) -> bool:
    return one.finding is Finding.NONE_BEFORE and one.after is not None and not one.after.density


def _effect_words(book: FieldBook, say: Speech, field: Field, one: Treated, effect: Effect) -> str:
    name = say.target(book.season, effect.target)
    values: dict[str, object] = {
        "field": field.number,
        "name": field.name,
        "treated": say.short_date(book.local(one.application.over).date()),
        "target": target_words(say, book.season, effect.target, codes=len(name) > LONGEST_NAME),
        "per": say.effort(effect.level.per),
    }
    if effect.after is None:
        return say.say(f"digest.after_{NOT_COMPARED.get(effect.finding, 'other')}", **values)
    sites = ""
    if len(effect.after.sites) < len(field.sites):
        sites = say.say("digest.after_sites", n=len(effect.after.sites), all=len(field.sites))
    values |= {
        "after": _number(effect, effect.after),
        "after_day": say.short_date(effect.after.last),
        "day": (effect.after.last - book.local(one.application.over).date()).days,
        "sites": sites,
    }
    found = _found_words(say, one, effect)
    if effect.before is None:
        return say.say("digest.after_alone", found=found, **values)
    return say.say(
        "digest.after_item",
        before=_number(effect, effect.before),
        before_day=say.short_date(effect.before.last),
        found=found,
        **values,
    )


def _number(one: Effect, seen: Seen) -> str:
    """Give a density as it is printed beside its standing: on its own side of the level, halved or not."""
    low, high = one.level.low, one.level.high
    return figure_number(seen.density, (low, high, low / 2, high / 2))


def _found_words(say: Speech, one: Treated, effect: Effect) -> str:
    """Say what the counts bear out, and by what it goes."""
    match effect.finding:
        case Finding.NONE_BEFORE:
            return say.say("digest.after_none_before")
        case Finding.NOT_COUNTED | Finding.OTHER_COUNT | Finding.FEW_SITES:
            return say.say("digest.after_not_counted")
        case Finding.NO_INTERVAL:
            return say.say("digest.after_no_interval")
        case Finding.FEWER:
            found = say.say("digest.after_fewer", **_percents(effect.fewer))
        case Finding.MORE:
            plain = effect.way is Way.BEFORE_AFTER
            found = say.say("digest.after_more" if plain else "digest.after_more_check")
        case Finding.NO_DIFFERENCE:
            found = say.say("digest.after_no_difference")
    if effect.way is Way.BEFORE_AFTER:
        return f"{found}{_left_out(say, one, effect) or say.say('digest.after_plain')}"
    check = {
        "check": one.check,
        "way": say.say(f"digest.{WAYS[effect.way]}") if effect.way else "",
        "after": _number(effect, effect.check_after) if effect.check_after else "",
    }
    if effect.check_before is None:
        return found + say.say("digest.after_by_after", **check)
    return found + say.say("digest.after_by", before=_number(effect, effect.check_before), **check)


def _left_out(say: Speech, one: Treated, effect: Effect) -> str:
    """Say why the untreated check that the season names is left out; empty where it names none."""
    if effect.no_check is None:
        return ""
    return say.say(f"digest.after_check_{LEFT_OUT[effect.no_check]}", check=one.check)


def _percents(fewer: Fewer | None) -> dict[str, object]:
    """Give a percent and its ends in whole numbers; 100 only where none was found, 0 never."""
    if fewer is None:
        return {}
    ends = (fewer.percent, fewer.low or 0, fewer.high or 0)
    said = [round(one) if one == 100 else min(max(round(one), 1), 99) for one in ends]
    return dict(zip(("percent", "low", "high"), said, strict=True))
