"""What the machine says first: alerts to growers, notices to supervisors and leaders. One text each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from bot.replies.figures import density_words, level_words, standing_words, target_words
from bot.replies.fitting import first_fitting
from bot.replies.speech import Speech, percent_words
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


@dataclass(frozen=True, slots=True)
class _Told:
    """What an alert still says beside what it must: the sites counted, squares, the others' figures."""

    name: str
    sites: bool = True
    short: bool = False
    squares: bool = True
    others: bool = True


def alert_text(speech: Speech, crossed: Sequence[Crossed], kind: str) -> str:
    """Give the alert to a grower that one or more targets stand above: kind "above" or "still_above".

    Giving way: the name, the count of sites, the unit; then squares, and the figures of further targets.
    """
    first, others = crossed[0], crossed[1:]
    names = named(first.field.name)
    steps = [_Told(name, others=full) for name in names for full in (True, False)]
    bare = _Told("", others=False, sites=False)
    steps += [bare, replace(bare, short=True), replace(bare, short=True, squares=False)]
    return first_fitting(*(_alert(speech, first, others, kind, told) for told in steps))


def _alert(speech: Speech, first: Crossed, others: Sequence[Crossed], kind: str, told: _Told) -> str:
    figures = first.figures
    squares = ""
    if told.squares and first.squares is not None and figures.level is not None and figures.level.retention:
        squares = speech.say("alert.squares", percent=percent_words(first.squares.share))
    also = "".join(
        speech.say(
            "alert.also_full" if told.others else "alert.also",
            target=target_words(speech, one.season, one.figures.target, codes=False),
            density=density_words(speech, one.figures),
            level=level_words(one.figures.judged),
        )
        for one in others
    )
    values: dict[str, object] = {
        "field": first.field.number,
        "name": told.name,
        "day": speech.short_date(first.day),
        "target": target_words(speech, first.season, figures.target, codes=False),
        "density": density_words(speech, figures),
        "per": _per(speech, figures, short=told.short),
        "level": level_words(figures.judged),
        "squares": squares,
        "also": also,
    }
    if kind == "above" and first.state is not FieldState.FINAL:
        return speech.say("alert.certain", sites=_counted(speech, first) if told.sites else "", **values)
    counted = told.sites and first.field.several
    sites = speech.say("alert.sites", n=figures.sites_in, all=figures.sites) if counted else ""
    return speech.say(f"alert.{kind}", sites=sites, **values)


def _counted(speech: Speech, crossed: Crossed) -> str:
    """Give how much of the count a field is certain after: samples of its one site, or sites."""
    if crossed.field.several:
        said = speech.say("alert.sites_certain", n=crossed.figures.sites_in, all=crossed.figures.sites)
    else:
        said = speech.say("alert.samples", n=crossed.samples_in, all=crossed.samples_planned)
    return speech.say("alert.sure_after", sites=said)


def _per(speech: Speech, figures: FieldFigures, *, short: bool) -> str:
    return speech.effort(figures.per, short=short) if figures.per else ""


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
                density=density_words(speech, crossed.figures),
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
                density=density_words(speech, figures),
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
                density=density_words(speech, figures),
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


def waits_notice(speech: Speech, crossed: Crossed, reasons: Sequence[str], growers: str) -> str:
    """Give a supervisor the alert that waits for a person, and why; the first reason always stands."""
    figures = crossed.figures
    variants = [
        speech.say(
            "notice.waits" if full else "notice.waits_short",
            field=crossed.field.number,
            name=name,
            standing=standing_words(speech, figures.standing, short=not full),
            target=target_words(speech, crossed.season, figures.target, codes=False),
            density=density_words(speech, figures),
            level=level_words(figures.judged),
            reasons=said,
            growers=growers,
        )
        for said in (", ".join(reasons[:count]) for count in range(len(reasons), 0, -1))
        for full in (True, False)
        for name in (named(crossed.field.name) if full else [""])
    ]
    return first_fitting(*variants)


def with_name(speech: Speech, key: str, name: str, **values: object) -> str:
    """Give a text that names a field, the name cut at a word where it has no room."""
    return first_fitting(*(speech.say(key, name=one, **values) for one in named(name)))
