"""What the machine says first: alerts to growers, notices to supervisors and leaders. One text each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from bot.replies.figures import density_words, level_words, standing_words, target_words
from bot.replies.fitting import first_fitting
from bot.replies.refusals import shortened
from bot.replies.speech import Speech, percent_words
from bot.rules import Field, FieldFigures, FieldState, Season, SquaresOn

NO_FIGURE = "-"
"""What is kept as the density of a crossing that left no standing."""

GROWERS_AT_LAST = 20
"""How much of the growers' names a notice keeps where it has no room for all of them."""


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
    codes: bool = False


def alert_text(speech: Speech, crossed: Sequence[Crossed], kind: str) -> str:
    """Give the text to a grower of one or more targets that stand above (kind "above", "still_above") or "in_range".

    Giving way: the name, the count of sites, the unit; then squares, the figures of further targets, and
    the names of targets.
    """
    first, others = crossed[0], crossed[1:]
    names = named(first.field.name)
    steps = [_Told(name, others=full) for name in names for full in (True, False)]
    bare = _Told("", others=False, sites=False)
    barest = replace(bare, short=True, squares=False)
    steps += [replace(steps[-1], short=True), replace(steps[-1], short=True, squares=False)]
    steps += [bare, replace(bare, short=True), barest, replace(barest, codes=True)]
    return first_fitting(*(_alert(speech, first, others, kind, told) for told in steps))


def _alert(speech: Speech, first: Crossed, others: Sequence[Crossed], kind: str, told: _Told) -> str:
    figures = first.figures
    squares = ""
    if told.squares and first.squares is not None and figures.level is not None and figures.level.retention:
        squares = speech.say("alert.squares", percent=percent_words(first.squares.share))
    values: dict[str, object] = {
        "field": first.field.number,
        "name": told.name,
        "day": speech.short_date(first.day),
        "target": target_words(speech, first.season, figures.target, codes=told.codes),
        "density": density_words(speech, figures),
        "per": _per(speech, figures, short=told.short),
        "level": level_words(figures.judged),
        "squares": squares,
        "also": _also(speech, others, told),
    }
    sampled = not figures.is_share or first.field.several
    if kind == "above" and first.state is not FieldState.FINAL and sampled:
        return speech.say("alert.certain", sites=_counted(speech, first) if told.sites else "", **values)
    # a share may have come from fewer sites than the counts beside it: no number of sites is then said of both
    of_all = told.others or all(one.figures.sites_in == figures.sites_in for one in others)
    counted = told.sites and first.field.several and of_all
    sites = speech.say("alert.sites", n=figures.sites_in, all=figures.sites) if counted else ""
    return speech.say(f"alert.{kind}", sites=sites, **values)


def _also(speech: Speech, others: Sequence[Crossed], told: _Told) -> str:
    """Give the further targets that are above: a sentence each, at the last one for all of them."""
    if told.codes and others:
        codes = [target_words(speech, one.season, one.figures.target, codes=True) for one in others]
        return speech.say("alert.also", target=", ".join(codes))
    said = []
    for one in others:
        figures = one.figures
        fewer = one.field.several and figures.sites_in < figures.sites and told.sites
        key = "alert.also_sites" if fewer else "alert.also_full"
        said.append(
            speech.say(
                key if told.others else "alert.also",
                target=target_words(speech, one.season, figures.target, codes=False),
                density=density_words(speech, figures),
                level=level_words(figures.judged),
                n=figures.sites_in,
                all=figures.sites,
            )
        )
    return "".join(said)


def _counted(speech: Speech, crossed: Crossed) -> str:
    """Give how much of the count a field is certain after: samples of its one site, or sites."""
    if crossed.field.several:
        said = speech.say("alert.sites_certain", n=crossed.figures.sites_in, all=crossed.figures.sites)
    else:
        said = speech.say("alert.samples", n=crossed.samples_in, all=crossed.samples_planned)
    return speech.say("alert.sure_after", sites=said)


def _per(speech: Speech, figures: FieldFigures, *, short: bool) -> str:
    return speech.effort(figures.per, short=short) if figures.per else ""


def _ways_to_name(name: str) -> list[tuple[str, bool, bool]]:
    """Give a field's name as it gives way, whether units are short, and whether a target is said by its codes."""
    named_or_not = [(one, short, False) for one in named(name) for short in (False, True)]
    return [*named_or_not, ("", True, True)]


def back_below_text(speech: Speech, crossed: Crossed, before: str, before_day: date) -> str:
    """Give the one text that says a field is below again, to those who had the alert."""
    return first_fitting(
        *(
            speech.say(
                "alert.back_below",
                field=crossed.field.number,
                name=name,
                day=speech.short_date(crossed.day),
                target=target_words(speech, crossed.season, crossed.figures.target, codes=codes),
                density=density_words(speech, crossed.figures),
                per=_per(speech, crossed.figures, short=short),
                level=level_words(crossed.figures.judged),
                before=before,
                before_day=speech.short_date(before_day),
            )
            for name, short, codes in _ways_to_name(crossed.field.name)
        )
    )


def corrected_text(
    speech: Speech, crossed: Crossed, before: str, contact: str, *, known: bool, why: str
) -> str:
    """Give the text that takes an alert back: what the count is now, and that it was wrong.

    `why` is "count" where a count was wrong, "later" where squares or a stage came that change what it means.
    """
    figures = crossed.figures
    key = "corrected_later" if why == "later" else "corrected"
    return first_fitting(
        *(
            speech.say(
                f"alert.{key if known else 'corrected_unknown'}",
                field=crossed.field.number,
                name=name,
                day=speech.short_date(crossed.day),
                target=target_words(speech, crossed.season, figures.target, codes=codes),
                density=density_words(speech, figures),
                per=_per(speech, figures, short=short),
                level=level_words(figures.judged),
                squares=squares_words(speech, figures),
                standing=standing_words(speech, figures.standing, short=codes),
                before=before,
                contact=contact,
            )
            for name, short, codes in _ways_to_name(crossed.field.name)
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
                "alert.reminder" if figure != NO_FIGURE else "alert.reminder_unknown",
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
                squares=squares_words(speech, figures),
                told=who,
                state=state,
                **more,
            )
            for who in (told, "")
            for name in named(crossed.field.name)
            for short in (False, True)
        )
    )


def squares_words(speech: Speech, figures: FieldFigures) -> str:
    """Give the squares that made a standing another than the count alone would; empty where they did not."""
    by = figures.judged.by_squares
    return speech.say("counts.squares", percent=percent_words(by.share)) if by is not None else ""


def waits_notice(speech: Speech, crossed: Crossed, reasons: Sequence[str], growers: str) -> str:
    """Give a supervisor the alert that waits for a person, why, and the two words; the first reason always stands.

    Giving way: the name, the other reasons, the growers' names beyond the first words, at the last all of them.
    Without growers nobody can be told.
    """
    figures = crossed.figures

    def say(key: str, name: str, said: str, who: str, *, short: bool) -> str:
        return speech.say(
            f"notice.{key}",
            field=crossed.field.number,
            name=name,
            standing=standing_words(speech, figures.standing, short=short),
            target=target_words(speech, crossed.season, figures.target, codes=False),
            density=density_words(speech, figures),
            level=level_words(figures.judged),
            reasons=said,
            growers=who,
        )

    keys = ("waits", "waits_short") if growers else ("waits_nobody", "waits_bare")
    variants = [
        say(key, name, said, who, short=key != keys[0])
        for who in (growers, shortened(growers, GROWERS_AT_LAST))
        for said in (", ".join(reasons[:count]) for count in range(len(reasons), 0, -1))
        for key in keys
        for name in (named(crossed.field.name) if key == keys[0] else [""])
    ]
    return first_fitting(*variants, say("waits_bare", "", reasons[0], "", short=True))


def with_name(speech: Speech, key: str, name: str, **values: object) -> str:
    """Give a text that names a field, the name cut at a word where it has no room."""
    return first_fitting(*(speech.say(key, name=one, **values) for one in named(name)), room=speech.room)
