"""The reply to counts: what was read, how many are in, where the site stands, what to do next."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial

from bot.replies.figures import figure_clause, standing_words, target_words, wanted_clause
from bot.replies.fitting import Give, fitted, sentences, septets_of, tidy
from bot.replies.speech import Speech, number_list, one_sum_words, plain_number, sums_words
from bot.rules import (
    Effort,
    Field,
    Needs,
    Plan,
    Season,
    SiteFigures,
    Standing,
    VisitEnd,
    VisitFacts,
    column_sums,
)
from parsing import Sample, can_pack, echo_samples, septets


@dataclass(frozen=True, slots=True)
class Stands:
    """A site as it stands after a text."""

    season: Season
    field: Field
    site: int
    visit: VisitFacts
    figures: tuple[SiteFigures, ...]

    @property
    def counted(self) -> tuple[SiteFigures, ...]:
        """The figures of what was counted on the card; those of shares are said where a share is."""
        return tuple(one for one in self.figures if one.share is None)


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is next: the other unfinished sites of the field, and the next site of the scout's list."""

    field_needs: tuple[int, ...] = ()
    next_site: int | None = None


@dataclass(frozen=True, slots=True)
class NotStored:
    """A part of a text that was not stored: its sample where it has one, and wordings from fullest to barest."""

    sample: int | None
    wordings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CountsAnswer:
    """All that the reply to counts says beside how the site stands.

    `lead` stands in place of the echo, `not_stored` and `notes` between how many are in and the figures,
    `close_call` (what follows from one) and `tail` after them, `question` last; each as wordings from fullest
    to barest. The two barest of a question have sums in place of the counts that a 1 would store. `shares_too`
    where shares are said with the figures.
    """

    stored: tuple[Sample, ...]
    first: bool = False
    lead: tuple[str, ...] = ()
    notes: tuple[tuple[str, ...], ...] = ()
    tail: tuple[str, ...] = ()
    question: tuple[str, ...] = ()
    close_call: str = ""
    shares_too: bool = False
    ahead: Ahead = field(default_factory=Ahead)
    not_stored: tuple[NotStored, ...] = ()


MOST_GAPS = 3
"""Samples left out that a reply names; where two scouts share a site, many are."""

FORM_KEPT = tuple(give for give in Give if give < Give.LEVEL)
"""How far a reply gives way before it says a batch packed instead of in the form in which it was sent."""


def counts_reply(
    speech: Speech, stands: Stands, answer: CountsAnswer, *, counted_in_lead: bool = False
) -> str:
    """Give the reply to counts, in one text; `counted_in_lead` where the lead says how many are in."""

    def build(give: Give, *, packed: bool) -> str:
        parts = [
            _pick(answer.lead, give),
            _echo(speech, stands.site, answer, give, packed=packed),
            _first(speech, stands.visit, give) if answer.first else "",
            "" if counted_in_lead else in_words(speech, stands.visit, gaps=give < Give.UNITS),
            *_not_stored(speech, answer.not_stored, give),
            *(_pick(note, give) for note in answer.notes),
            "" if give >= Give.SUMS or not _sums_wanted(answer, stands) else _sums(stands.visit),
            *standing_clauses(
                speech,
                stands,
                give,
                ask=answer.first or stands.visit.finished,
                shares_too=answer.shares_too,
            ),
            "" if give >= Give.ADVICE else answer.close_call,
            "" if give >= Give.NEXT or answer.question else _ahead(speech, stands, answer.ahead),
            _pick(answer.tail, give) if give < Give.DENSITIES else "",
            _asked(answer.question, give),
        ]
        return sentences(parts)

    as_sent = partial(build, packed=False)
    if len(answer.stored) > 1 and any(can_pack(sample) for sample in answer.stored):
        # packed where the form sent has no room with all that may give way but the level
        texts = (tidy(as_sent(give)) for give in FORM_KEPT)
        kept = next((text for text in texts if septets(text) <= speech.room), None)
        return kept or fitted(partial(build, packed=True), speech.room)
    return fitted(as_sent, speech.room)


def _pick(variants: Sequence[str], give: Give) -> str:
    """Give the wording for how much has given way: the fullest at first, the barest from units on."""
    if not variants:
        return ""
    return variants[min(max(give - Give.SUMS, 0), len(variants) - 1)]


def dropped_last(note: str) -> tuple[str, ...]:
    """Give a note as wordings that keep it until the forms of what is missing have given way."""
    return (note,) * (Give.FORMS - Give.SUMS) + ("",)


def until_last(wordings: Sequence[str], last: str = "") -> tuple[str, ...]:
    """Give a note's wordings and a last one, which is said only where all else has given way."""
    kept = Give.FEWEST - Give.SUMS - len(wordings)
    return (*wordings, *(wordings[-1],) * kept, last)


def _asked(variants: Sequence[str], give: Give) -> str:
    """Give a question, its counts for as long as anything else can give way."""
    with_counts, with_sums = variants[:-2], variants[-2:]
    if give < Give.ASKED_COUNTS:
        return _pick(with_counts, give)
    return with_sums[min(give - Give.ASKED_COUNTS, 1)] if with_sums else ""


def _not_stored(speech: Speech, parts: Sequence[NotStored], give: Give) -> list[str]:
    """Give what was not stored: a sentence each, at the last one for all that have numbers: 3-5 NOT stored."""
    if give < Give.FORMS:
        return [_pick(one.wordings, give) for one in parts]
    numbers = sorted({one.sample for one in parts if one.sample is not None})
    said = [speech.say("refused.part", sample=number_list(numbers))] if numbers else []
    return said + [_pick(one.wordings, give) for one in parts if one.sample is None]


def _echo(speech: Speech, site: int, answer: CountsAnswer, give: Give, *, packed: bool) -> str:
    """Give the stored samples as read: as sent, packed where that has no room, their sums at the last."""
    stored = answer.stored
    if not stored or answer.lead:
        return ""
    said = echo_samples(stored, packed=packed)
    if give >= Give.COUNTS:
        # of a sample or two the counts themselves are shorter than their sums
        sums = one_sum_words(speech, stored) if give >= Give.EACH_SAMPLE else sums_words(speech, stored)
        said = min(said, sums, key=septets_of)
    return f"{site} {said}."


def _first(speech: Speech, visit: VisitFacts, give: Give) -> str:
    return "" if give >= Give.ASKED_COUNTS else first_words(speech, visit.plan, give, visit.effort_now)


def first_words(speech: Speech, plan: Plan, give: Give, effort_now: Fraction | None = None) -> str:
    """Give the first reply's method, effort (today's) and gear: Sheet, 3 row ft, black."""
    gear = ""
    if give >= Give.FORMS:
        pass
    elif plan.sheet is not None:
        colour = speech.say(f"gear.{plan.sheet}") if speech.has(f"gear.{plan.sheet}") else plan.sheet
        gear = speech.say("gear.sheet", gear=colour)
    elif plan.hoop_in is not None:
        gear = speech.say("gear.hoop_in", gear=plain_number(plan.hoop_in))
    elif plan.bucket_qt is not None:
        gear = speech.say("gear.bucket_qt", gear=plain_number(plan.bucket_qt))
    method = speech.say(f"methods.{plan.method.value}")
    each = plan.each if effort_now is None else Effort(effort_now, plan.each.unit)
    effort = speech.effort(each, short=give >= Give.UNITS)
    return speech.say("counts.first", method=method, effort=effort, gear=gear)


def in_words(speech: Speech, visit: VisitFacts, *, gaps: bool = False) -> str:
    """Give how many samples are in of how many, and the few that were left out before the last (`gaps`)."""
    key = {VisitEnd.DONE: "done", VisitEnd.SHORT: "short"}.get(visit.end, "")
    if visit.end is VisitEnd.DONE and visit.samples_in < visit.plan.samples:
        key = "done_at_line"
    if not key:
        key = "in_one" if visit.samples_in == 1 else "in_many"
        key = key if visit.plan.stop is None else f"{key}_at_most"
    said = speech.say(f"counts.{key}", n=visit.samples_in, planned=visit.plan.samples)
    last = max((sample.number for sample in visit.counted), default=0)
    left_out = [number for number in visit.missing if number < last]
    if not gaps or not 0 < len(left_out) <= MOST_GAPS:
        return said
    key = "counts.left_out_one" if len(left_out) == 1 else "counts.left_out"
    return f"{said[:-1]}, {speech.say(key, numbers=number_list(left_out))}"


def _sums_wanted(answer: CountsAnswer, stands: Stands) -> bool:
    return stands.visit.end is VisitEnd.DONE and len(answer.stored) > 1


def _sums(visit: VisitFacts) -> str:
    found = [f"{code}{total}" for code, total in column_sums(visit).items() if total]
    return f"{' '.join(found)}." if found else ""


def standing_clauses(
    speech: Speech, stands: Stands, give: Give, *, ask: bool, shares_too: bool = False
) -> list[str]:
    """Give the sentence of each figure, and what is missing to know it.

    `ask` is false in the middle of a visit, where squares that could change a standing were asked for
    already; what a standing cannot be known without is always asked for.
    """
    visit = stands.visit
    so_far = not visit.finished
    if visit.too_short and all(one.judged.needs is Needs.SAMPLES for one in stands.counted):
        return [speech.say("counts.too_few", least=visit.plan.least)]
    clauses: list[str] = []
    wanted: list[str] = []
    for one in stands.figures if shares_too else stands.counted:
        if give < Give.DENSITIES:
            open_ = so_far if one.share is None else not one.certain
            clauses.append(figure_clause(speech, stands.season, one, give, so_far=open_))
        also = one.level.also if one.level else None
        if one.judged.also_failed and also is not None and give < Give.SUMS:
            per = speech.effort(also.per)
            clauses.append(speech.say("counts.second_count", density=plain_number(also.at_least), per=per))
        if (ask or one.judged.needs is not None) and give < Give.ASKED_COUNTS:
            wanted.append(wanted_clause(speech, one, stands.site, stands.field.number, give))
    if give >= Give.DENSITIES:
        clauses = _standings_alone(speech, stands, so_far=so_far)
    if not stands.counted and visit.plan.level_wanted and give < Give.SUMS:
        clauses.append(speech.say("counts.no_level"))
    return list(dict.fromkeys(clause for clause in (*clauses, *wanted) if clause))


def _standings_alone(speech: Speech, stands: Stands, *, so_far: bool) -> list[str]:
    """Give the targets of each standing in one sentence: LA+LN SB: BELOW SO FAR."""
    targets: dict[str, list[str]] = {}
    for one in stands.counted:
        standing = standing_words(speech, one.standing, so_far=so_far, sure=one.certain, short=True)
        targets.setdefault(standing, []).append(target_words(speech, stands.season, one.target, codes=True))
    return [f"{' '.join(codes)}: {standing}." for standing, codes in targets.items()]


def _ahead(speech: Speech, stands: Stands, ahead: Ahead) -> str:
    """Give what to do next: the rest of the plan is no longer needed, the field needs more, the next site."""
    visit, field_ = stands.visit, stands.field
    above_for_sure = not visit.finished and any(
        one.certain and one.standing is Standing.ABOVE for one in stands.counted
    )
    if above_for_sure:
        if field_.several:
            return speech.say(
                "counts.finish_all", planned=visit.plan.samples, field=field_.number, sites=len(field_.sites)
            )
        on = (
            speech.say("counts.go_on_to", site=ahead.next_site)
            if ahead.next_site
            else speech.say("counts.go_on")
        )
        return f"{speech.say('counts.sure')} {on}"
    if not visit.finished:
        return ""
    parts = []
    if ahead.field_needs:
        needs = " ".join(map(str, ahead.field_needs))
        parts.append(speech.say("counts.field_needs", field=field_.number, sites=needs))
    if ahead.next_site is not None:
        parts.append(speech.say("counts.next", site=ahead.next_site))
    return " ".join(parts)
