"""A reply fits one text by construction: parts give way in a stated order; nothing is ever cut."""

from collections.abc import Callable, Sequence
from enum import IntEnum

from parsing import TEXT_SEPTETS, fold, septets


class Give(IntEnum):
    """What a reply gives up for room, in this order (texts.md, What comes back); advice goes before all else.

    The last five are for texts of many samples and targets: the forms in which to send what is missing, the
    densities, then the method, what to send at all and the counts in a question, first to the sum of each
    sample and then to one, and at the very last why some were not stored. What is stored and every
    standing are never given up.
    """

    NOTHING = 0
    ADVICE = 1
    NEXT = 2
    SUMS = 3
    UNITS = 4
    TARGETS = 5
    NAME = 6
    LEVEL = 7
    COUNTS = 8
    EACH_SAMPLE = 9
    FORMS = 10
    DENSITIES = 11
    ASKED_COUNTS = 12
    ASKED_SUMS = 13
    FEWEST = 14


def tidy(text: str) -> str:
    """Give a text folded, with one blank between words and none left where a value was empty."""
    return fold(" ".join(text.split()).replace(" :", ":").replace("....", "..."))


def sentences(parts: Sequence[str]) -> str:
    """Join sentences; one that ends in a form to send gets its full stop when another follows."""
    said = [part for part in parts if part]
    ended = [part if part.endswith((".", "?", "!", ":")) else f"{part}." for part in said[:-1]]
    return " ".join([*ended, *said[-1:]])


def fitted(build: Callable[[Give], str], room: int = TEXT_SEPTETS) -> str:
    """Give the fullest form of a reply that fits its room in septets; `build` is told how much has given way."""
    text = ""
    for give in Give:
        text = tidy(build(give))
        if septets(text) <= room:
            return text
    return text


def first_fitting(*variants: str, room: int = TEXT_SEPTETS) -> str:
    """Give the first of some wordings, fullest first, that fits its room in septets; the last if none does."""
    folded = [tidy(variant) for variant in variants]
    return next((text for text in folded if septets(text) <= room), folded[-1])


def septets_of(text: str) -> int:
    """Give the septets that a text takes once it is folded."""
    return septets(tidy(text))


def pages(
    items: Sequence[str],
    most: int,
    mark: Callable[[int, int], str],
    more: Callable[[int], str],
    room: int = TEXT_SEPTETS,
) -> list[str]:
    """Put items onto at most so many texts, in their order; the last says how many found no room.

    `mark` gives what a page begins with from its number and the number of pages, `more` what stands for
    the items left out from their number. `room` in septets is that of the first page.
    """
    whole = whole_pages(items, most, mark, room)
    if whole is not None:
        return whole
    for kept in range(len(items) - 1, -1, -1):
        laid = _laid([*items[:kept], more(len(items) - kept)], most, mark, room)
        if laid is not None:
            return laid
    return []


def whole_pages(
    items: Sequence[str], most: int, mark: Callable[[int, int], str], room: int = TEXT_SEPTETS
) -> list[str] | None:
    """Put all items onto as few texts as hold them, as `pages` does; None where so many do not."""
    found = (_laid(items, count, mark, room) for count in range(1, most + 1))
    return next((laid for laid in found if laid is not None), None)


def _laid(items: Sequence[str], count: int, mark: Callable[[int, int], str], room: int) -> list[str] | None:
    """Fill pages one after the other, none of them twice; None where something finds no room."""
    texts = [fold(mark(number, count)) for number in range(1, count + 1)]
    page = 0
    for item in items:
        longer = f"{texts[page]} {fold(item)}"
        while septets(longer) > (room if page == 0 else TEXT_SEPTETS):
            page += 1
            if page == count:
                return None
            longer = f"{texts[page]} {fold(item)}"
        texts[page] = longer
    return texts
