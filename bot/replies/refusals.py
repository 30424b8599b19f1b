"""What is wrong with a text, and the form to send instead: one wording a problem, in one text."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.replies.fitting import first_fitting, septets_of
from bot.replies.speech import Speech
from parsing import Card, Kind, Problem


@dataclass(frozen=True, slots=True)
class Around:
    """What a refusal may need to name: the number in front, its field and sites, its card, the reader's sites."""

    number: int | None = None
    field: int | None = None
    field_sites: tuple[int, ...] = ()
    card: Card | None = None
    own_sites: tuple[int, ...] = ()


def refusal(speech: Speech, problem: Problem, around: Around) -> str:
    """Give what is wrong, that nothing is stored, and what to send."""
    values: dict[str, object] = {
        "number": around.number if around.number is not None else "",
        "field": around.field if around.field is not None else around.number,
        "said": shortened(problem.said),
        "hint": problem.hint,
        "sample": problem.sample if problem.sample is not None else "",
        "code": problem.hint,
        "what": _what(speech, problem.hint),
        "sites": speech.names([str(site) for site in around.field_sites]),
        "planned": around.card.samples if around.card else "",
        "columns": len(around.card.codes) if around.card else "",
        "codes": " ".join(around.card.codes) if around.card else "",
    }
    match problem.kind:
        case Kind.NOT_UNDERSTOOD if around.number is not None:
            return _said(speech, "not_understood_site", values)
        case Kind.UNKNOWN_SITE | Kind.SITE_MISSING:
            return _with_sites(speech, problem.kind.value, values, around.own_sites)
        case Kind.WRONG_QUANTITY | Kind.TOTALS_QUANTITY:
            count = int(problem.said)
            came = "came_one" if count == 1 else "came_many"
            values["came"] = speech.say(f"refused.{came}", n=count)
            return _said(speech, problem.kind.value, values)
        case Kind.SECOND_SITE:
            return first_fitting(speech.say("refused.second_site", **values), room=speech.room)
        case _:
            return _said(speech, problem.kind.value, values)


def _what(speech: Speech, code: str) -> str:
    """Give what the first number of a share is, by its code."""
    key = f"share_what.{code}"
    return speech.say(key if speech.has(key) else "share_what.other")


def shortened(said: str, most: int = 40) -> str:
    """Give the reader's own words back, the end of a long text left out and marked so."""
    if len(said) <= most:
        return said
    return said[: most - 3].rsplit(" ", 1)[0] + "..."


def _said(speech: Speech, name: str, values: dict[str, object]) -> str:
    variants = [speech.say(f"refused.{name}", **values)]
    if speech.has(f"refused.{name}_short"):
        variants.append(speech.say(f"refused.{name}_short", **values))
    bare = {**values, "said": shortened(str(values["said"]), 12), "hint": shortened(str(values["hint"]), 24)}
    variants += [
        speech.say(f"refused.{one}", **bare)
        for one in (name, f"{name}_short")
        if speech.has(f"refused.{one}")
    ]
    variants.append(speech.say("refused.barest", **bare))
    return first_fitting(*variants, room=speech.room)


def _with_sites(speech: Speech, name: str, values: dict[str, object], sites: Sequence[int]) -> str:
    """Name as many of the reader's sites as the text has room for."""
    bare = {**values, "said": shortened(str(values["said"]), 12)}
    short = [speech.say(f"refused.{name}_short", **one) for one in (values, bare)]
    for count in range(len(sites), 0, -1):
        listed = " ".join(map(str, sites[:count]))
        text = speech.say(f"refused.{name}", **{**values, "sites": listed})
        if septets_of(text) <= speech.room:
            return first_fitting(text)
    return first_fitting(*short, speech.say("refused.barest", **bare), room=speech.room)


def part_refused(speech: Speech, problem: Problem, columns: int) -> tuple[str, ...]:
    """Give, beside what was stored, the part of a text that was not: from fullest to barest."""
    if problem.kind is Kind.SECOND_SITE:
        said = speech.say("refused.second_site", said=shortened(problem.said, 60))
        site = problem.said.partition(" ")[0]
        part = shortened(problem.said, 24)
        return said, speech.say("refused.part", sample=part), speech.say("refused.part", sample=site)
    sample = problem.sample if problem.sample is not None else shortened(problem.said, 16)
    key = f"parts.why_{problem.kind.value}"
    why = speech.say(
        key if speech.has(key) else "parts.why_other", said=shortened(problem.said, 12), columns=columns
    )
    return (
        speech.say("parts.part_why", sample=sample, why=why),
        speech.say("refused.part", sample=sample),
    )
