"""What follows a site number when it is counts: groups parted by breaks, each one or several samples."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from parsing.codes import read_codes
from parsing.control import control_total
from parsing.numbers import X, nothing_found, read_numbers, sample_number
from parsing.problems import Kind, Problem
from parsing.reading import Ground
from parsing.samples import Card, Form, Guess, Sample
from parsing.stops import part_shares, with_shares_whole
from parsing.tokens import LETTERS_AS_DIGITS, Token, TokenKind, as_number

_CODE_OR_NUMBER = re.compile(r"[OIL][0-9]+")
_PACKED_WITH_X = re.compile(r"[0-9]*X[0-9X]+|[0-9]+X")
_GLUED_SAMPLE = re.compile(r"([A-Z]+)([0-9]+)")


@dataclass(frozen=True, slots=True)
class Said:
    """Samples, problems, the rival reading and the control total of what follows a site number."""

    samples: tuple[Sample, ...]
    problems: tuple[Problem, ...] = ()
    rival: tuple[Sample, ...] = ()
    control: int | None = None


@dataclass(frozen=True, slots=True)
class _Group:
    samples: tuple[Sample, ...]
    rival: tuple[Sample, ...] = ()


def read_samples(site: int, tokens: Sequence[Token], card: Card, ground: Ground) -> Said:
    """Read one or several samples: GROUP (BREAK GROUP)* [TOTAL], a site number said again left out.

    In a text of several groups each needs its sample number; one without refuses the whole text.
    """
    tokens = with_shares_whole([as_number(token) for token in tokens], ground)
    control, tokens = control_total(tokens)
    if isinstance(control, Problem):
        return Said((), (control,))
    own, foreign = _by_site(site, _groups(tokens, site, card, ground), ground)
    numbered = len(own) > 1 or bool(foreign)
    samples: list[Sample] = []
    problems: list[Problem] = [*foreign]
    rival: tuple[Sample, ...] = ()
    for group in own:
        read = _read_group(group, card, ground)
        if isinstance(read, Problem):
            if read.kind is Kind.SHARE_NEEDS_TWO and read.said and _before_slash(read, tokens):
                # OF or a break: what follows a lone n may be no sample of its own
                return Said((), (read,), control=control)
            problems.append(read)
            continue
        if numbered and any(sample.number is None for sample in read.samples):
            span = (group[0].start, group[-1].end)
            return Said((), (Problem(Kind.SAMPLE_NUMBER_MISSING, span, _spelt(group)),), control=control)
        if read.rival and len(own) > 1:
            problems.append(Problem(Kind.NEEDS_BREAKS, (group[0].start, group[-1].end), _spelt(group)))
            continue
        samples.extend(read.samples)
        rival = read.rival
    missing = [problem for problem in problems if problem.kind is Kind.SAMPLE_NUMBER_MISSING]
    if numbered and missing:
        return Said((), tuple(missing), control=control)
    once, twice = _said_once(samples, tokens)
    return Said(once, (*problems, *twice), rival, control)


def _before_slash(problem: Problem, tokens: Sequence[Token]) -> bool:
    following = next((token for token in tokens if token.start >= problem.span[1]), None)
    return following is not None and following.kind is TokenKind.SLASH


def _groups(tokens: Sequence[Token], site: int, card: Card, ground: Ground) -> list[list[Token]]:
    """Part tokens at breaks; at `#` too where every group that it makes is a complete sample."""
    breaks = (TokenKind.BREAK, TokenKind.SLASH)
    if any(token.kind is TokenKind.HASH for token in tokens):
        finer = _parted(tokens, (*breaks, TokenKind.HASH))
        read = [_read_group(_without_site(site, group), card, ground) for group in finer if group]
        if all(
            isinstance(one, _Group) and all(sample.number is not None for sample in one.samples)
            for one in read
        ):
            return finer
    plain = [token for token in tokens if token.kind is not TokenKind.HASH]
    return _parted(plain, breaks)


def _parted(tokens: Sequence[Token], at: tuple[TokenKind, ...]) -> list[list[Token]]:
    groups: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind in at:
            groups.append([])
        else:
            groups[-1].append(token)
    return groups


def _without_site(site: int, group: list[Token]) -> list[Token]:
    """Leave out a site number said again, and a dash after it."""
    rest = group
    if rest and rest[0].kind is TokenKind.NUMBER and rest[0].text == str(site):
        rest = rest[1:]
    while rest and rest[0].kind is TokenKind.DASH:
        rest = rest[1:]
    return rest


def _by_site(
    site: int, groups: Sequence[list[Token]], ground: Ground
) -> tuple[list[list[Token]], list[Problem]]:
    """Part the groups of this site from those of a second one, which are refused as their own text."""
    own: list[list[Token]] = []
    foreign: list[list[Token]] = []
    here = True
    for group in groups:
        leads = group[0].text if group and group[0].kind is TokenKind.NUMBER else ""
        if leads == str(site):
            here = True
        elif own and leads and int(leads) in (*ground.cards, *ground.fields):
            here = False
        kept = _without_site(site, group) if here else group
        if kept:
            (own if here else foreign).append(kept)
    if not foreign:
        return own, []
    own_text = " / ".join(_spelt(group) for group in foreign)
    return own, [Problem(Kind.SECOND_SITE, (foreign[0][0].start, foreign[-1][-1].end), own_text)]


def _spelt(tokens: Sequence[Token]) -> str:
    return " ".join(token.text for token in tokens)


def _read_group(tokens: list[Token], card: Card, ground: Ground) -> _Group | Problem:
    """A group of counts with the shares looked at there, or shares alone: [SAMPLE] COUNTS SHARES"""
    if not tokens:
        return _Group(())
    parted = part_shares(tokens, ground, _first_number(tokens, card))
    if isinstance(parted, Problem):
        return parted
    if not parted.shares:
        return _read_counted_group(tokens, card, ground)
    counted = tidied(parted.tokens, ground)
    if not counted:
        return _Group((Sample(None, Form.SHARES, shares=parted.shares),))
    if len(counted) == 1 and counted[0].kind is TokenKind.NUMBER and counted[0].text != "0":
        number = sample_number(counted[0].text, card)
        if number is None:
            return Problem(Kind.NO_SUCH_SAMPLE, counted[0].span, counted[0].text, str(card.samples))
        return _Group((Sample(number, Form.SHARES, shares=parted.shares),))
    read = _read_counted_group(list(parted.tokens), card, ground)
    if isinstance(read, Problem):
        return read
    if len(read.samples) > 1 or read.rival:
        return Problem(Kind.NEEDS_BREAKS, (tokens[0].start, tokens[-1].end), _spelt(tokens))
    return _Group((replace(read.samples[0], shares=parted.shares),))


def _read_counted_group(tokens: list[Token], card: Card, ground: Ground) -> _Group | Problem:
    """[SAMPLE-WORD] NUMBERS | SAMPLE (`-`|A|TO) SAMPLE NOTHING | [SAMPLE] CODES | [SAMPLE] NOTHING"""
    read = _read_plain_group(tokens, card, ground)
    if not isinstance(read, Problem) or not any(_CODE_OR_NUMBER.fullmatch(token.text) for token in tokens):
        return read
    # L2 could be a code or 12: where only the number gives a reading, that reading is asked
    doubtful = [token for token in tokens if _CODE_OR_NUMBER.fullmatch(token.text)]
    as_numbers = [
        replace(token, kind=TokenKind.NUMBER, text=token.text.translate(LETTERS_AS_DIGITS))
        if token in doubtful
        else token
        for token in tokens
    ]
    other = _read_plain_group(as_numbers, card, ground)
    if isinstance(other, Problem) or other.rival:
        return read
    guesses = tuple(Guess(token.text, token.text.translate(LETTERS_AS_DIGITS)) for token in doubtful)
    return _Group(tuple(replace(sample, guesses=(*sample.guesses, *guesses)) for sample in other.samples))


def _read_plain_group(said: list[Token], card: Card, ground: Ground) -> _Group | Problem:
    tokens = tidied(said, ground)
    span = (said[0].start, said[-1].end)
    spelt = _spelt(said)
    for place, token in enumerate(tokens):
        if token.kind is TokenKind.MIX and _PACKED_WITH_X.fullmatch(token.text):
            return Problem(Kind.X_NOT_HERE, token.span, token.text, sample=_first_number(tokens, card))
        if token.kind is TokenKind.DECIMAL:
            return Problem(Kind.DECIMAL, token.span, token.text, sample=_first_number(tokens, card))
        if token.kind is TokenKind.EQUALS and place and tokens[place - 1].text in ground.codes:
            lacking = tokens[place - 1]
            return Problem(
                Kind.CODE_WITHOUT_NUMBER, lacking.span, lacking.text, sample=_first_number(tokens, card)
            )
        if token.kind in (TokenKind.MARK, TokenKind.QUERY, TokenKind.EQUALS, TokenKind.SLASH):
            return Problem(Kind.UNKNOWN_WORD, token.span, token.text, sample=_first_number(tokens, card))
    if not tokens:
        return Problem(Kind.NOT_UNDERSTOOD, span, spelt)
    ranged = _range(tokens, card, span)
    if ranged is not None:
        return ranged
    for before, token in pairwise(tokens):
        if before.kind is TokenKind.DASH and token.kind is TokenKind.NUMBER:
            return Problem(Kind.NEGATIVE, token.span, f"-{token.text}", sample=_first_number(tokens, card))
    tokens = [token for token in tokens if token.kind is not TokenKind.DASH]
    if all(token.kind is TokenKind.NUMBER or token.text == X for token in tokens):
        read = read_numbers([token.text for token in tokens], card, span)
        return read if isinstance(read, Problem) else _Group(read.readings[0], _rival(read.readings))
    if tokens[0].kind is not TokenKind.NUMBER:
        return _coded(read_codes(None, tokens, card, ground))
    number = sample_number(tokens[0].text, card)
    if number is None:
        return Problem(Kind.NO_SUCH_SAMPLE, tokens[0].span, tokens[0].text, str(card.samples))
    return _coded(read_codes(number, tokens[1:], card, ground))


def _rival(readings: Sequence[tuple[Sample, ...]]) -> tuple[Sample, ...]:
    return readings[1] if len(readings) > 1 else ()


def _coded(read: Sample | Problem) -> _Group | Problem:
    return read if isinstance(read, Problem) else _Group((read,))


def _first_number(tokens: Sequence[Token], card: Card) -> int | None:
    return sample_number(tokens[0].text, card) if tokens[0].kind is TokenKind.NUMBER else None


def tidied(tokens: Sequence[Token], ground: Ground) -> list[Token]:
    """Leave out Y and AND between groups, `=` between code and count, a word for sample; nothing is 0."""
    inside = ground.words.inside
    tidy: list[Token] = []
    for place, token in enumerate(tokens):
        concept = inside.get(token.text) if token.kind is TokenKind.WORD else None
        last = place == len(tokens) - 1
        after = tokens[place + 1].kind if not last else None
        before = tidy[-1] if tidy else None
        if concept == "and" and before is not None and not last:
            continue
        if concept == "sample" and before is None and after is TokenKind.NUMBER:
            continue
        if token.kind is TokenKind.EQUALS and after is TokenKind.NUMBER and _is_word(before, token):
            continue
        if last and token.kind is TokenKind.QUERY and before is not None:
            continue
        glued = _GLUED_SAMPLE.fullmatch(token.text)
        if before is None and glued and inside.get(glued[1]) == "sample":
            tidy.append(replace(token, kind=TokenKind.NUMBER, text=glued[2]))
        elif concept == "nothing" and (before is None or before.kind is TokenKind.NUMBER):
            tidy.append(replace(token, kind=TokenKind.NUMBER, text="0"))
        else:
            tidy.append(token)
    return tidy


def _is_word(before: Token | None, equals: Token) -> bool:
    """Tell whether a code stands right before `=`; parted by a blank, it lacks its count and = is a total's."""
    return before is not None and before.kind is TokenKind.WORD and before.end == equals.start


def _range(tokens: Sequence[Token], card: Card, span: tuple[int, int]) -> _Group | Problem | None:
    """SAMPLE (`-`|A|TO) SAMPLE `0`, and nothing else; None where it is no range."""
    if len(tokens) < 3 or tokens[0].kind is not TokenKind.NUMBER or tokens[2].kind is not TokenKind.NUMBER:
        return None
    if tokens[1].kind is not TokenKind.DASH and tokens[1].text not in ("A", "TO"):
        return None
    first, last = sample_number(tokens[0].text, card), sample_number(tokens[2].text, card)
    said = " ".join(token.text for token in tokens)
    if first is None or last is None:
        wrong = tokens[0] if first is None else tokens[2]
        return Problem(Kind.NO_SUCH_SAMPLE, wrong.span, wrong.text, str(card.samples))
    if [token.text for token in tokens[3:]] != ["0"] and _is_minus(tokens[0], tokens[1], tokens[2]):
        return Problem(Kind.NEGATIVE, tokens[2].span, f"-{tokens[2].text}", sample=first)
    if first >= last or [token.text for token in tokens[3:]] != ["0"]:
        return Problem(Kind.RANGE_TAKES_ZERO, span, said, f"{min(first, last)}-{max(first, last)} 0")
    return _Group(tuple(nothing_found(number, card) for number in range(first, last + 1)))


def _is_minus(before: Token, dash: Token, number: Token) -> bool:
    """A dash with a blank before it and none after belongs to the number."""
    return dash.kind is TokenKind.DASH and before.end < dash.start and dash.end == number.start


def _said_once(
    samples: Sequence[Sample], tokens: Sequence[Token]
) -> tuple[tuple[Sample, ...], tuple[Problem, ...]]:
    """Refuse every sample whose number a text says twice: nobody knows which one is meant."""
    times = Counter(sample.number for sample in samples)
    span = (tokens[0].start, tokens[-1].end) if tokens else (0, 0)
    twice = tuple(
        Problem(Kind.SAMPLE_TWICE, span, str(number), sample=number)
        for number, often in times.items()
        if often > 1
    )
    return tuple(sample for sample in samples if times[sample.number] == 1), twice
