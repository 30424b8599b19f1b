"""What the machine says first: alerts to growers, notices to supervisors and leaders. One text each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from bot.replies.figures import density_words, level_words, standing_words, target_words
from bot.replies.fitting import first_fitting
from bot.replies.speech import Speech
from bot.rules import Field, FieldFigures, FieldState, Season, SquaresOn


@dataclass(frozen=True, slots=True)
class Crossed:
    """A field's figures at a crossing, and how far its count is.

    `samples_in` and `samples_planned` are those of a field's one site.
    """

    season: Season
    field: Field
    day: date
    figures: FieldFigures
    state: FieldState
    squares: SquaresOn | None
    samples_in: int = 0
    samples_planned: int = 0


def named(name: str) -> list[str]:
    """Give a field's name as it gives way: whole, then cut at a word, then gone; each with its blank."""
    words = name.split()
    return [f" {' '.join(words[:count])}" if count else "" for count in range(len(words), -1, -1)]


def alert_text(speech: Speech, crossed: Sequence[Crossed], kind: str) -> str:
    """Give the alert to a grower that one or more targets stand above: kind "above" or "still_above"."""
    first, others = crossed[0], crossed[1:]
    variants = []
    for counted in (True, False):
        for name in named(first.field.name):
            for short in (False, True):
                for full in (True, False) if others else (True,):
                    variants.append(_alert(speech, first, others, kind, name, counted, short, full=full))
    variants.sort(key=len, reverse=True)
    return first_fitting(*variants)


def _alert(
    speech: Speech,
    first: Crossed,
    others: Sequence[Crossed],
    kind: str,
    name: str,
    counted: bool,
    short: bool,
    *,
    full: bool,
) -> str:
    figures = first.figures
    certain = kind == "above" and first.state is not FieldState.FINAL
    squares = ""
    if first.squares is not None and figures.level is not None and figures.level.retention is not None:
        percent = percent_words(first.squares.share)
        squares = speech.say("alert.squares", percent=percent)
    also = "".join(
        speech.say(
            "alert.also_full" if full else "alert.also",
            target=target_words(speech, one.season, one.figures.target, codes=False),
            density=density_words(one.figures),
            level=level_words(one.figures.judged),
        )
        for one in others
    )
    values: dict[str, object] = {
        "field": first.field.number,
        "name": name,
        "day": speech.short_date(first.day),
        "target": target_words(speech, first.season, figures.target, codes=False),
        "density": density_words(figures),
        "per": _per(speech, figures, short=short),
        "level": level_words(figures.judged),
        "squares": squares,
        "also": also,
    }
    if certain:
        if first.field.several:
            sites = speech.say("alert.sites_certain", n=figures.sites_in, all=figures.sites)
        else:
            sites = speech.say("alert.samples", n=first.samples_in, all=first.samples_planned)
        return speech.say("alert.certain", sites=sites, **values)
    sites = speech.say("alert.sites", n=figures.sites_in, all=figures.sites) if counted else ""
    return speech.say(f"alert.{kind}", sites=sites, **values)


def _per(speech: Speech, figures: FieldFigures, *, short: bool) -> str:
    return speech.effort(figures.per, short=short) if figures.per else ""


def percent_words(share: Fraction) -> str:
    """Give a share in whole percent, or with one place where a whole one would hide a side of a mark."""
    percent = share * 100
    if percent.denominator == 1:
        return str(percent.numerator)
    return f"{float(round(percent, 1)):g}"


def back_below_text(speech: Speech, crossed: Crossed, before: str, before_day: date) -> str:
    """Give the one text that says a field is below again, to those who had the alert."""
    return first_fitting(
        *(
            speech.say(
                "alert.back_below",
                field=crossed.field.number,
                name=name,
                day=speech.short_date(crossed.day),
                target=target_words(speech, crossed.season, crossed.figures.target, codes=False),
                density=density_words(crossed.figures),
                per=_per(speech, crossed.figures, short=short),
                level=level_words(crossed.figures.judged),
                before=before,
                before_day=speech.short_date(before_day),
            )
            for name in named(crossed.field.name)
            for short in (False, True)
        )
    )


def corrected_text(speech: Speech, crossed: Crossed, before: str, contact: str, *, known: bool) -> str:
    """Give the text that takes an alert back: what the count is now, and that it was wrong."""
    figures = crossed.figures
    return first_fitting(
        *(
            speech.say(
                "alert.corrected" if known else "alert.corrected_unknown",
                field=crossed.field.number,
                name=name,
                day=speech.short_date(crossed.day),
                target=target_words(speech, crossed.season, figures.target, codes=False),
                density=density_words(figures),
                per=_per(speech, figures, short=short),
                level=level_words(figures.judged),
                standing=standing_words(speech, figures.standing),
                before=before,
                contact=contact,
            )
            for name in named(crossed.field.name)
            for short in (False, True)
        )
    )


def reminder_text(
    speech: Speech,
    field: Field,
    day: date,
    clock: str,
    figure: str,
    level: str,
    standing: str,
    target: str,
    contact: str,
) -> str:
    """Give the one reminder that an alert has no OK yet."""
    return first_fitting(
        *(
            speech.say(
                "alert.reminder",
                field=field.number,
                name=name,
                day=speech.short_date(day),
                time=clock,
                target=target,
                density=figure,
                level=level,
                standing=standing,
                contact=contact,
            )
            for name in named(field.name)
        )
    )


def crossing_notice(
    speech: Speech, crossed: Crossed, kind: str, told: str, state: str = "", **more: object
) -> str:
    """Give a supervisor the crossing of a field: kind above, still_above, in_range, back_below, withdrawn."""
    figures = crossed.figures
    return first_fitting(
        *(
            speech.say(
                f"notice.{kind}",
                field=crossed.field.number,
                name=name,
                day=speech.short_date(crossed.day),
                target=target_words(speech, crossed.season, figures.target, codes=False),
                density=density_words(figures),
                per=_per(speech, figures, short=short),
                level=level_words(figures.judged),
                told=who,
                state=state,
                **more,
            )
            for who in (told, "")
            for name in named(crossed.field.name)
            for short in (False, True)
        )
    )


def waits_notice(speech: Speech, crossed: Crossed, reasons: str, growers: str) -> str:
    """Give a supervisor the alert that waits for a person, and why."""
    figures = crossed.figures
    variants = [
        speech.say(
            "notice.waits" if full else "notice.waits_short",
            field=crossed.field.number,
            name=name,
            standing=standing_words(speech, figures.standing),
            target=target_words(speech, crossed.season, figures.target, codes=False),
            density=density_words(figures),
            level=level_words(figures.judged),
            reasons=reasons,
            growers=growers,
        )
        for full in (True, False)
        for name in (named(crossed.field.name) if full else [""])
    ]
    return first_fitting(*variants)


def with_name(speech: Speech, key: str, name: str, **values: object) -> str:
    """Give a text that names a field, the name cut at a word where it has no room."""
    return first_fitting(*(speech.say(key, name=one, **values) for one in named(name)))
