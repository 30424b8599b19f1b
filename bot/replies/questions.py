"""Questions: everything that a 1 would store stands in them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.replies.shares import share_short
from bot.replies.speech import Speech, number_list, one_sum_words, sample_label, sums_words
from bot.rules import Season
from parsing import Sample, ShareFound, counts_in_codes, echo_samples


@dataclass(frozen=True, slots=True)
class Waiting:
    """A sample that waits for an answer, and why: a count over the limit, a guessed code, one that is in.

    Sums over several samples would stand `instead` of those; where a text may be `cut` its last sample waits;
    a correction of one that is `not_in` may have the wrong number.
    """

    sample: Sample
    over: tuple[tuple[str, int], ...] = ()
    guesses: tuple[tuple[str, str], ...] = ()
    replaces: Sample | None = None
    replaced_at: datetime | None = None
    instead: tuple[int, ...] = ()
    cut: bool = False
    not_in: bool = False


def waiting_question(
    speech: Speech, season: Season, site: int, waiting: Sequence[Waiting], limit: int
) -> tuple[str, ...]:
    """Give the question about samples that wait, from fullest wording to barest."""
    said = " ".join(dict.fromkeys(reason for one in waiting for reason in _reasons(speech, one, limit)))
    echo = f"{site} {echo_samples([one.sample for one in waiting])}"
    packed = f"{site} {echo_samples([one.sample for one in waiting], packed=True)}"
    about_one = _about_one(speech, season, site, waiting[0], limit, echo) if len(waiting) == 1 else ()
    by_sums = _asked_by_sums(speech, "waits.ask_bare", site, [one.sample for one in waiting])
    if any(one.replaces is not None for one in waiting):
        # old and new counts are shown, whatever else gives way; sums only where both have no room at all
        shown = speech.say("waits.ask_short", reasons=said, echo=echo)
        return (*about_one, speech.say("waits.ask", reasons=said, echo=echo), shown, *by_sums)
    return (
        *about_one,
        speech.say("waits.ask", reasons=said, echo=echo),
        speech.say("waits.ask_short", reasons=said, echo=echo),
        speech.say("waits.ask_short", reasons=said, echo=packed),
        speech.say("waits.ask_bare", echo=min(echo, packed, key=len)),
        *by_sums,
    )


def _asked_by_sums(
    speech: Speech, key: str, site: int, samples: Sequence[Sample], /, **values: object
) -> list[str]:
    """Give a question where the counts of many samples have no room: the sum of each, then one for all."""
    said = (sums_words(speech, samples), one_sum_words(speech, samples))
    return [speech.say(key, echo=f"{site} {one}", **values) for one in said]


def _reasons(speech: Speech, one: Waiting, limit: int) -> Iterator[str]:
    for code, count in one.over:
        yield speech.say("waits.above", said=f"{code}{count}", count=count, limit=_limit(one, limit))
    for said, code in one.guesses:
        yield speech.say("waits.guess_number" if code.isdigit() else "waits.guess", said=said, code=code)
    if one.replaces is not None and one.replaced_at is not None:
        old, clock = counts_in_codes(one.replaces), speech.hour(one.replaced_at)
        yield speech.say("waits.replace", number=sample_label(one.sample), old=old, time=clock)
    if one.instead:
        yield speech.say("waits.instead", numbers=number_list(list(one.instead)))
    if one.cut:
        yield speech.say("waits.cut")
    if one.not_in:
        yield speech.say("waits.not_in", number=sample_label(one.sample))


def _limit(one: Waiting, limit: int) -> int:
    """Give the count that is asked above: of sums over n samples n times as much."""
    return limit * max(one.sample.covers, 1)


def _about_one(
    speech: Speech, season: Season, site: int, one: Waiting, limit: int, echo: str
) -> Iterator[str]:
    """Give the plainer wording where one sample waits for one reason."""
    if one.instead or one.cut or one.not_in:
        return
    doubts = (len(one.over), len(one.guesses), one.replaces is not None)
    values: dict[str, object] = {"number": site, "sample": sample_label(one.sample), "echo": echo}
    match doubts:
        case (1, 0, False):
            yield speech.say("waits.one_above", count=one.over[0][1], limit=_limit(one, limit), **values)
        case (0, 1, False) if (column := season.column(one.guesses[0][1])) is not None:
            said, code = one.guesses[0]
            stage = speech.say(f"life_stages.{column.life_stage}")
            meaning = f"{speech.target(season, column.target)} {stage}".strip()
            yield speech.say("waits.one_guess", said=said, code=code, meaning=meaning, **values)
        case (0, 0, True) if one.replaces is not None and one.replaced_at is not None:
            old, new = counts_in_codes(one.replaces), counts_in_codes(one.sample)
            clock = speech.hour(one.replaced_at)
            yield speech.say("waits.one_replace", old=old, new=new, time=clock, **values)
        case _:
            return


def site_question(speech: Speech, site: int, samples: Sequence[Sample]) -> tuple[str, ...]:
    """Ask whether counts without a site in front belong to the sender's open site."""
    said = echo_samples(samples)
    packed = f"{site} {echo_samples(samples, packed=True)}"
    return (
        speech.say("waits.site", said=said, site=site, echo=f"{site} {said}"),
        speech.say("waits.site_short", echo=f"{site} {said}"),
        speech.say("waits.site_short", echo=packed),
        *_asked_by_sums(speech, "waits.site_short", site, samples),
    )


def elsewhere_question(
    speech: Speech, site: int, name: str, samples: Sequence[Sample], other: int, n: int, planned: int
) -> tuple[str, ...]:
    """Ask whether the sender has gone to another site while one of his is unfinished."""
    echo = f"{site} {echo_samples(samples)}"
    packed = f"{site} {echo_samples(samples, packed=True)}"
    values: dict[str, object] = {"site": site, "other": other, "n": n, "planned": planned}
    return (
        speech.say("waits.elsewhere", echo=echo, name=f" {name}" if name else "", **values),
        speech.say("waits.elsewhere", echo=echo, name="", **values),
        speech.say("waits.elsewhere_short", echo=echo, **values),
        speech.say("waits.elsewhere_short", echo=packed, **values),
        *_asked_by_sums(speech, "waits.elsewhere_short", site, samples, **values),
        speech.say("waits.elsewhere_bare", echo=echo, site=site),
        *_asked_by_sums(speech, "waits.elsewhere_bare", site, samples, site=site),
    )


def rival_question(speech: Speech, site: int, said: str, samples: Sequence[Sample]) -> tuple[str, ...]:
    """Ask which of two readings is meant; a 1 stores the one shown."""
    echo = f"{site} {echo_samples(samples)}"
    return (
        speech.say("waits.rival", said=said, echo=echo),
        speech.say("waits.rival", said=str(site), echo=echo),
        speech.say("waits.ask_bare", echo=f"{site} {echo_samples(samples, packed=True)}"),
        *_asked_by_sums(speech, "waits.ask_bare", site, samples),
    )


def turned_question(
    speech: Speech, site: int, samples: Sequence[Sample], turned: Sequence[ShareFound]
) -> tuple[str, ...]:
    """Ask about shares of which n may be what it should not be."""
    shares = " ".join(share_short(share) for share in turned)
    echo = f"{site} {echo_samples(samples)}"
    return (
        speech.say("waits.turned", shares=shares, echo=echo),
        speech.say("waits.turned_short", shares=shares, echo=echo),
        speech.say("waits.turned_short", shares=shares, echo=f"{site} {echo_samples(samples, packed=True)}"),
        *_asked_by_sums(speech, "waits.turned_short", site, samples, shares=shares),
    )


def uneven_question(
    speech: Speech, site: int, samples: Sequence[Sample], codes: Sequence[str]
) -> tuple[str, ...]:
    """Ask about stops of which not as many were looked at."""
    echo = f"{site} {echo_samples(samples)}"
    said = " ".join(codes)
    return (
        speech.say("waits.uneven", codes=said, echo=echo),
        speech.say("waits.ask_bare", echo=echo),
        speech.say("waits.ask_bare", echo=f"{site} {echo_samples(samples, packed=True)}"),
        *_asked_by_sums(speech, "waits.ask_bare", site, samples),
    )


def way_to_send(site: int, samples: Sequence[Sample]) -> str:
    """Give a form in which samples can be read one way only: with a break, or in codes."""
    if len(samples) > 1:
        return f"{site} " + " / ".join(echo_samples([sample]) for sample in samples)
    return f"{site} {samples[0].number} {counts_in_codes(samples[0])}"


def dropped_note(speech: Speech, site: int, numbers: Sequence[int], *, fix: bool = False) -> tuple[str, ...]:
    """Say which samples an unanswered question leaves not stored (or not corrected), from fullest to barest."""
    listed = number_list(list(numbers))
    if fix:
        return tuple(
            speech.say(f"dropped.{key}", number=site, numbers=listed) for key in ("fix", "fix_short")
        )
    return (
        speech.say("dropped.samples", number=site, numbers=listed),
        speech.say("dropped.samples_short", number=site, numbers=listed),
    )
