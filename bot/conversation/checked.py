"""The answer to a check: both sums, with whom in training it agrees and who stands now, what differs."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.conversation.asking import Asked, ask, not_dropped, samples_to_json
from bot.conversation.doubting import OVER, REPLACE
from bot.conversation.promoting import Promoted, SetAgainst
from bot.conversation.turn import Turn
from bot.replies import (
    CountsAnswer,
    NotStored,
    Stands,
    Waiting,
    counts_reply,
    number_list,
    one_sum_words,
    part_refused,
    sentences,
    sums_words,
    waiting_question,
)
from bot.rules import Agreement, Plan
from parsing import Counts, Fix, Sample, echo_samples


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check did for those in training: whose counts stand now, whose do not agree or not yet."""

    stand: tuple[Promoted, ...] = ()
    not_yet: tuple[SetAgainst, ...] = ()


@dataclass(frozen=True, slots=True)
class Kept:
    """What a check text put beside, what waits, and how both counts and sums compare."""

    samples: Sequence[Sample]
    waiting: Sequence[Waiting]
    beside: str = ""
    summed: str = ""


def answer_checked(turn: Turn, said: Counts | Fix, plan: Plan, kept: Kept, outcome: Outcome) -> None:
    """Say what a check put beside and how the sums compare, with whom it agrees, what waits and what was refused."""
    speech, site = turn.speech, said.site
    question: tuple[str, ...] = ()
    if kept.waiting:
        question = waiting_question(speech, turn.season, site, kept.waiting, plan.ask_above)
        waits = {
            "site": site,
            "samples": samples_to_json([one.sample for one in kept.waiting]),
            "fix": isinstance(said, Fix),
            "yes_to": [OVER, REPLACE],
        }
        ask(turn, Asked.SAMPLES, turn.book.sites[site], waits)
    numbers = [one.number or 0 for one in [*kept.samples, *(one.sample for one in kept.waiting)]]
    not_dropped(turn, site, numbers)
    faults = [part_refused(speech, problem, len(plan.codes)) for problem in said.problems]
    if not kept.samples and not faults:
        turn.reply(*question)
        return
    if any(one.numbers for one in outcome.stand):
        not_stored = [NotStored(one.sample, fault) for one, fault in zip(said.problems, faults, strict=True)]
        _reply_stands(turn, site, kept.samples, outcome, not_stored, question)
        return
    fault, bare = (" ".join(part[place] for part in faults) for place in (0, -1))
    asked = (question[0], question[-1]) if question else ("", "")
    trainees = [*_left_words(turn, outcome), *_not_yet_words(turn, outcome)]
    full, short = (" ".join(one[place] for one in trainees) for place in (0, -1))
    echoes = _echoes(turn, kept.samples)
    lead = ""
    if kept.samples:
        key = "check.kept_trainee" if trainees else "check.kept"
        lead = turn.say(key, number=site, echo=echoes[0], beside=kept.beside)
    brief = [turn.say("check.kept_short", number=site, echo=echo) if kept.samples else "" for echo in echoes]
    turn.reply(
        sentences([lead, kept.summed, full, fault, asked[0]]),
        *(sentences([one, kept.summed, full, fault, asked[0]]) for one in brief[:2]),
        sentences([brief[1], full, fault, asked[0]]),
        sentences([brief[1], short, fault, asked[1]]),
        *(sentences([one, short, bare, asked[1]]) for one in brief[1:]),
    )


def _echoes(turn: Turn, samples: Sequence[Sample]) -> tuple[str, str, str, str]:
    """Give samples as sent, packed, by the sum of each, by one sum."""
    speech = turn.speech
    return (
        echo_samples(samples),
        echo_samples(samples, packed=True),
        sums_words(speech, samples),
        one_sum_words(speech, samples),
    )


def _reply_stands(
    turn: Turn,
    site: int,
    kept: Sequence[Sample],
    outcome: Outcome,
    not_stored: Sequence[NotStored],
    question: tuple[str, ...],
) -> None:
    """Say with whom a check agrees, which samples stand, and how the site stands now."""
    view = turn.book.site_view(site, turn.day)
    names = turn.speech.names([first_name(turn, one.person) for one in outcome.stand])
    numbers = [number for one in outcome.stand for number in one.numbers]
    values: dict[str, object] = {"number": site, "name": names, "numbers": number_list(numbers)}
    echoes = _echoes(turn, kept)
    lead = [
        *(turn.say("check.agrees", echo=echo, **values) for echo in echoes[:2]),
        *(turn.say("check.agrees_short", echo=echo, **values) for echo in echoes[1:]),
    ]
    notes = [*_left_words(turn, outcome), *_not_yet_words(turn, outcome)]
    if view.visit is None:
        turn.reply(*lead)
        return
    if turn.dropped_notes:
        notes.append(turn.dropped_notes)
        turn.dropped_notes = ()
    stands = Stands(turn.season, view.field, site, view.visit, view.figures)
    answer = CountsAnswer(
        (), lead=tuple(lead), notes=tuple(notes), not_stored=tuple(not_stored), question=question
    )
    turn.reply(counts_reply(turn.speech, stands, answer))


def _left_words(turn: Turn, outcome: Outcome) -> list[tuple[str, ...]]:
    """Name the numbers that stay beside though the check agrees, as somebody else has them in."""
    return [
        turn.wordings("check.left", numbers=number_list(list(one.left)), name=first_name(turn, one.person))
        for one in outcome.stand
        if one.left
    ]


def _not_yet_words(turn: Turn, outcome: Outcome) -> list[tuple[str, ...]]:
    """Say of each in training why his counts do not stand: what differs with both sums, or what is missing."""
    return [_why_not_yet(turn, first_name(turn, one.trainee), one.found) for one in outcome.not_yet]


def _why_not_yet(turn: Turn, name: str, found: Agreement) -> tuple[str, ...]:
    if found.short:
        return turn.wordings("check.more", n=found.short, name=name)
    if found.unchecked is not None:
        one = found.unchecked
        return turn.wordings("check.unchecked", code=one.code, n=one.samples, least=found.least, name=name)
    if found.differs:
        columns = [
            turn.say("check.column_sums", code=one.code, yours=one.checked, theirs=one.counted, name=name)
            for one in found.differs
        ]
        full = turn.say("check.differs", name=name, columns=", ".join(columns))
        return full, turn.say("check.differs_short", name=name, columns=columns[0])
    targets = turn.speech.names([turn.speech.target(turn.season, one) for one in found.apart])
    return turn.wordings("check.apart", name=name, targets=targets)


def first_name(turn: Turn, key: str) -> str:
    """Give the first name of somebody, his key where the season no longer has him."""
    person = turn.book.person(key)
    return person.first_name if person is not None else key
