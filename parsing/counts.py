"""What follows a site number when it is counts: groups parted by breaks, each one or several samples."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from parsing.control import control_total
from parsing.groups import Group, read_group, spelt
from parsing.problems import Kind, Problem
from parsing.reading import Ground
from parsing.samples import Card, Sample
from parsing.stops import with_shares_whole
from parsing.tokens import Token, TokenKind, as_number


@dataclass(frozen=True, slots=True)
class Said:
    """Samples, problems, the rival reading and the control total of what follows a site number."""

    samples: tuple[Sample, ...]
    problems: tuple[Problem, ...] = ()
    rival: tuple[Sample, ...] = ()
    control: int | None = None


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
        read = read_group(group, card, ground)
        if isinstance(read, Problem):
            if read.kind is Kind.SHARE_NEEDS_TWO and read.said and _before_slash(read, tokens):
                # OF or a break: what follows a lone n may be no sample of its own
                return Said((), (read,), control=control)
            problems.append(read)
            continue
        if numbered and any(sample.number is None for sample in read.samples):
            span = (group[0].start, group[-1].end)
            return Said((), (Problem(Kind.SAMPLE_NUMBER_MISSING, span, spelt(group)),), control=control)
        if read.rival and len(own) > 1:
            problems.append(Problem(Kind.NEEDS_BREAKS, (group[0].start, group[-1].end), spelt(group)))
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
        read = [read_group(_without_site(site, group), card, ground) for group in finer if group]
        if all(
            isinstance(one, Group) and all(sample.number is not None for sample in one.samples)
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
    own_text = " / ".join(spelt(group) for group in foreign)
    return own, [Problem(Kind.SECOND_SITE, (foreign[0][0].start, foreign[-1][-1].end), own_text)]


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
