"""What a correction says that it did: what a sample is now, what it was, what went to 0."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.replies.speech import Speech, one_sum_words, sums_words
from parsing import Sample, counts_in_codes


@dataclass(frozen=True, slots=True)
class Fixed:
    """A sample that was replaced: what it is now and what it was, None where it was not in."""

    now: Sample
    was: Sample | None


def fix_lead(speech: Speech, site: int, fixed: Sequence[Fixed]) -> tuple[str, ...]:
    """Give what a correction did, from fullest to barest: 121 3 is now FA1 (was FA2 LN3, so LN is 0 now …).

    A wording for each step of giving way from column sums on, so that counts give way to sums where the
    counts of a reply do.
    """
    full, short, bare = [], [], []
    for one in fixed:
        new = counts_in_codes(one.now)
        values = {"number": site, "sample": one.now.number, "new": new}
        if one.was is None:
            said = speech.say("fix.was_not_in", **values)
            full.append(said)
            short.append(said)
            bare.append(said)
            continue
        old = counts_in_codes(one.was)
        gone = _went_to_zero(one)
        both = f"{new} {' '.join(gone.values())}" if one.now.insects else " ".join(gone.values())
        zeroed = {"codes": " ".join(gone), "both": both, "number": site, "sample": one.now.number}
        full.append(
            speech.say(
                "fix.done", old=old, zeroed=speech.say("fix.zeroed", **zeroed) if gone else "", **values
            )
        )
        short.append(
            speech.say(
                "fix.done", old=old, zeroed=speech.say("fix.zeroed_short", **zeroed) if gone else "", **values
            )
        )
        bare.append(speech.say("fix.short", old=old, **values))
    now = [one.now for one in fixed]
    in_codes = " ".join(bare)
    sums, one_sum = (f"{site} {said}." for said in (sums_words(speech, now), one_sum_words(speech, now)))
    return " ".join(full), " ".join(short), in_codes, in_codes, in_codes, sums, one_sum


def _went_to_zero(one: Fixed) -> dict[str, str]:
    """Give the codes that a coded correction set to 0 by leaving them out, with what they were."""
    if one.was is None or one.now.lost or one.was.lost:
        return {}
    now = dict(one.now.counts)
    gone = {code: f"{code}{count}" for code, count in one.was.counts if count and now.get(code) == 0}
    kept = dict(one.now.extras)
    gone |= {code: f"{code}{count}" for code, count in one.was.extras if code not in kept}
    return gone
