"""What must hold of what the whole road answers to a text, whoever sends it and whatever it says."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import gsm0338

from parsing import Ground, Help, OptIn, OptOut, fold, read, read_prefixes, shipped_words, split
from tests.studies.broken import Broken

SEPTETS = 160
MOST_OF_A_DIGEST = 3
ADVICE = re.compile("spray|recom[ei]+nd|should|safe|fumigue", re.IGNORECASE)
WORDS_TO_SEND = re.compile("SPRAYED|SPRAYING")
"""Words of the text language, in capitals: the form to send is no advice."""

_OPT_OUT = re.compile(rf"(?<!\w)({'|'.join(sorted(shipped_words().opt_out, key=len, reverse=True))})(?!\w)")
_TO_THE_CREW = re.compile(r"(From|De) .*(Answer|Conteste) OK\.", re.DOTALL)
"""How somebody's words reach the crew: there no word is excused as an echo, each phone may send it back."""
_LATER_PART = re.compile(r"[2-9]/[0-9]\.")
"""How every text of a digest but its first begins."""
_codec = gsm0338.Codec()
_NOWHERE = Ground(shipped_words(), {}, {}, frozenset(), frozenset(), 0)

Out = dict[str, str]
"""A text out as `rowfoot text --json` gives it: to, purpose, text."""


@dataclass(frozen=True, slots=True)
class Heard:
    """A text that was taken: from whom, its words, and what the machine knows of the phone before and after."""

    phone: str
    words: str
    known: bool
    silent_before: bool
    silent: frozenset[str]


@dataclass(slots=True)
class Listener:
    """Holds the texts that come out of one season against the laws, and remembers what was said before."""

    said: str = ""
    said_among_others: str = ""
    answered_strangers: Counter[tuple[str, str, bool]] = field(default_factory=Counter)

    def hear(self, words: str) -> None:
        """Note a text's words: the machine may say them back."""
        self.said += f"\n{WORDS_TO_SEND.sub(' ', words)}\n{WORDS_TO_SEND.sub(' ', fold(words))}".lower()
        if len(re.findall(r"\w+", words)) > 1:
            self.said_among_others += f"\n{' '.join(fold(words).split())}".upper()

    def after_a_text(self, heard: Heard, caused: Sequence[Out], day: str) -> Iterator[tuple[str, str]]:
        """Give the laws that the texts out break which a text has caused."""
        replies = [one["text"] for one in caused if one["purpose"] == "reply" and one["to"] == heard.phone]
        if heard.known:
            due = replies_due(heard)
            if len(replies) not in due:
                yield (
                    "a known phone gets one reply, one that opted out none",
                    f"{len(replies)} of {due}: {replies}",
                )
        elif not isinstance(alone := _alone(heard.words), OptOut):
            # HELP is answered beside the one reply a day, once a day too
            asked = (heard.phone, day, isinstance(alone, Help))
            self.answered_strangers[asked] += len(replies)
            if replies and self.answered_strangers[asked] > 1:
                yield "a stranger is answered once a day", repr(replies)
        for one in caused:
            if one["to"] in heard.silent and one["text"] not in replies:
                yield "a phone that opted out gets nothing", repr(one)
        yield from self.of_any_texts(caused)

    def of_any_texts(self, caused: Sequence[Out]) -> Iterator[tuple[str, str]]:
        """Give the laws that texts out break whatever caused them, the clock too."""
        digests = [one for one in caused if one["purpose"] == "digest"]
        parts = Counter(one["to"] for one in digests)
        # a digest that waited out the quiet hours may leave with the next day's
        begun = Counter(one["to"] for one in digests if not _LATER_PART.match(one["text"]))
        if any(count > MOST_OF_A_DIGEST * begun[to] for to, count in parts.items()):
            yield "a digest is at most three texts", repr(parts)
        for one in caused:
            if fault := too_long(one["text"]):
                yield "a text out is one GSM-7 text", f"{fault}: {one}"
            if advice := self._advice(one["text"]):
                yield "no text out gives advice", f"{advice!r} in {one}"
            if one["purpose"] != "reply" and (word := self._opt_out_word(one["text"])):
                yield "no text that the machine starts holds an opt-out word", f"{word!r} in {one}"

            if _TO_THE_CREW.fullmatch(one["text"]) and (found := _OPT_OUT.search(fold(one["text"]).upper())):
                yield "no words to the crew hold an opt-out word", f"{found[0]!r} in {one}"

    def _advice(self, text: str) -> str | None:
        found = ADVICE.findall(WORDS_TO_SEND.sub(" ", text))
        return next((word for word in found if word.lower() not in self.said), None)

    def _opt_out_word(self, text: str) -> str | None:
        found = _OPT_OUT.findall(fold(text).upper())
        return next((word for word in found if word not in self.said_among_others), None)


def _alone(words: str) -> object:
    return read(words, _NOWHERE)


def replies_due(heard: Heard) -> tuple[int, ...]:
    """Give how many replies a text from a known phone may get."""
    if not heard.silent_before:
        return (1,)
    wakes = isinstance(_alone(heard.words), Help | OptIn) or heard.words.strip().upper() == "YES"
    if wakes and read_prefixes(heard.words, shipped_words()).end:
        return (0, 1)
    return (1,) if wakes else (0,)


def too_long(text: str) -> str | None:
    """Say why a text is no single GSM-7 text, by a codec that is not ours; None where it is one."""
    try:
        length = len(_codec.encode(text)[0])
    except UnicodeError as fault:
        return str(fault)
    return f"{length} septets in {len(split(text))} parts" if length > SEPTETS else None


def broken(heard: Heard, where: str, found: Iterator[tuple[str, str]]) -> Iterator[Broken]:
    """Give what was found as broken laws of a text."""
    for law, came in found:
        yield Broken(law, heard.words, f"{where}, {heard.phone}", came)
