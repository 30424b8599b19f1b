"""The letter as plain text, to be read on any screen: short lines, no table that a narrow one would break."""

import textwrap
from collections.abc import Iterator

from bot.digests.letter import Letter, SiteLine

WIDTH = 72


def letter_plain(letter: Letter) -> str:
    """Give a letter as plain text, its sentences folded at blanks."""
    return "\n".join(_lines(letter)) + "\n"


def _lines(letter: Letter) -> Iterator[str]:
    yield from _folded(letter.season)
    yield from _folded(letter.day)
    yield from _folded(letter.as_of)
    for part in letter.parts:
        yield ""
        if part.heading is None:
            for item in part.items:
                yield from _folded(item)
            continue
        yield from _folded(part.heading.upper())
        for item in part.items:
            yield from _folded(item, "- ", "  ")
    if letter.fields:
        yield ""
        yield from _folded(letter.sites_heading.upper())
    for number, block in enumerate(letter.fields):
        if number:
            yield ""
        yield from _folded(block.title)
        for line in block.lines:
            yield from _site(letter, line)
    yield ""
    yield "--"
    for sentence in letter.foot:
        yield from _folded(sentence)


def _site(letter: Letter, line: SiteLine) -> Iterator[str]:
    _, _, level, _ = letter.columns
    yield from _folded(f"{line.site}: {line.state}", "  ", "    ")
    for one in line.figures:
        count = f"{one.count} {one.per}".rstrip()
        yield from _folded(f"{count}, {level.lower()} {one.level}: {one.standing}", "    ", "      ")


def _folded(said: str, first: str = "", others: str = "") -> list[str]:
    return textwrap.wrap(
        said,
        WIDTH,
        initial_indent=first,
        subsequent_indent=others or first,
        break_long_words=False,
        break_on_hyphens=False,
    )
