"""How a figure reads: target, density, unit, level, standing; and what is missing to know it."""

from fractions import Fraction

from bot.replies.fitting import Give
from bot.replies.speech import Speech, capital, exact_number, figure_number, percent_words
from bot.rules import FieldFigures, Judgement, Needs, Season, SiteFigures, Standing


def level_words(judged: Judgement) -> str:
    """Give a level as one number or as its range: 3, 25-30."""
    if judged.low is None or judged.high is None:
        return ""
    if judged.low == judged.high:
        return exact_number(judged.high)
    return f"{exact_number(judged.low)}-{exact_number(judged.high)}"


def density_said(figures: SiteFigures | FieldFigures) -> Fraction | None:
    """Give the density that is said: what a field has for sure where it is sure before its mean is."""
    if isinstance(figures, FieldFigures) and _sure_before_its_mean(figures):
        return figures.least
    return figures.density


def level_ratio(figures: SiteFigures | FieldFigures) -> Fraction | None:
    """Give the density said as a multiple of the level, None where there is none."""
    density = density_said(figures)
    return density / figures.judged.high if density is not None and figures.judged.high else None


def density_number(figures: SiteFigures | FieldFigures) -> str:
    """Give a density as the number that is printed, so that it never contradicts its standing.

    A field that is above for sure, while the mean of its finished sites is not, is said by what it has
    for sure. A dash where nothing was counted.
    """
    density = density_said(figures)
    if density is None:
        return "-"
    return figure_number(density, (figures.judged.low, figures.judged.high))


def density_words(speech: Speech, figures: SiteFigures | FieldFigures) -> str:
    """Give a density in words: 2.78, or at least 3.2 where a field is sure before its mean is."""
    number = density_number(figures)
    if isinstance(figures, FieldFigures) and _sure_before_its_mean(figures):
        return speech.say("counts.at_least", density=number)
    return number


def _sure_before_its_mean(figures: FieldFigures) -> bool:
    high = figures.judged.high
    if figures.standing is not Standing.ABOVE or high is None or figures.judged.by_squares:
        return False
    return figures.density is None or figures.density < high


def standing_words(
    speech: Speech, standing: Standing, *, so_far: bool = False, sure: bool = False, short: bool = False
) -> str:
    """Give the fixed word of a standing, with SO FAR or FOR SURE where the visit goes on."""
    name = standing.value
    if so_far:
        name += "_sure" if sure and standing is Standing.ABOVE else "_so_far"
    key = f"standing_short.{name}"
    return speech.say(key if short and speech.has(key) else f"standing.{name}")


def target_words(speech: Speech, season: Season, key: str, *, codes: bool) -> str:
    """Give a target's or share's name, or its codes where names give way."""
    if codes:
        if key not in season.targets:
            return season.shares[key].code
        return "+".join(column.code for column in season.targets[key].columns)
    return speech.target(season, key)


def figure_clause(
    speech: Speech, season: Season, figures: SiteFigures | FieldFigures, give: Give, *, so_far: bool
) -> str:
    """Give the sentence of one figure: Lygus 2.78 per 5 row ft, level 3: BELOW SO FAR."""
    target = capital(target_words(speech, season, figures.target, codes=give >= Give.TARGETS))
    density = density_words(speech, figures)
    if density == "-" or figures.per is None:
        return speech.say("counts.figure_none", target=target)
    squares = figures.judged.by_squares
    values = {
        "target": target,
        "density": density,
        "squares": speech.say("counts.squares", percent=percent_words(squares.share)) if squares else "",
        "per": speech.effort(figures.per, short=give >= Give.UNITS),
        "standing": _with_close_call(
            speech,
            figures,
            standing_words(
                speech,
                figures.standing,
                so_far=so_far,
                sure=figures.certain,
                short=give >= Give.UNITS,
            ),
        ),
    }
    level = level_words(figures.judged)
    if give >= Give.DENSITIES:
        return f"{target}: {values['standing']}."
    if not level or give >= Give.LEVEL:
        return speech.say("counts.figure_without_level", **values)
    return speech.say("counts.figure", level=level, **values)


def is_close_call(figures: SiteFigures | FieldFigures) -> bool:
    """Tell whether the interval of a finished visit holds its level, where it stands at all."""
    if isinstance(figures, FieldFigures) or figures.standing is Standing.UNKNOWN:
        return False
    return bool(figures.close_call)


def _with_close_call(speech: Speech, figures: SiteFigures | FieldFigures, standing: str) -> str:
    return speech.say("counts.close_call", standing=standing) if is_close_call(figures) else standing


def wanted_clause(
    speech: Speech, figures: SiteFigures | FieldFigures, number: int, field: int, give: Give
) -> str:
    """Give what to send so that a standing can be known: SEND SQUARES, SEND STAGE; empty if nothing."""
    short = "_short" if give >= Give.NEXT else ""
    if figures.judged.squares_wanted:
        said = speech.say(f"counts.send_squares{short}", number=number)
    elif figures.judged.needs is Needs.STAGE:
        said = speech.say(f"counts.send_stage{short}", field=field)
    else:
        return ""
    # What to send stands before the colon, the form after it.
    return f"{said.partition(':')[0]}." if give >= Give.FORMS else said
