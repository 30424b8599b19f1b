"""Figures in columns, under titles that stand over several of them."""

from collections.abc import Iterator, Sequence
from typing import TypeVar

T = TypeVar("T")

Group = tuple[str, Sequence[str]]
"""A title over some columns, and their heads."""

LEAST_WIDTH = 6
BETWEEN_GROUPS = " "


def grid(groups: Sequence[Group], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Give the lines of a table, all cells to the right; a row without cells is an empty line."""
    heads = [head for _, some in groups for head in some]
    widths = [
        max(LEAST_WIDTH, len(head) + 1, *(len(row[place]) + 1 for row in rows if row))
        for place, head in enumerate(heads)
    ]
    titles = []
    for (title, some), own in zip(groups, _shared(widths, groups), strict=True):
        wide = sum(own) - 1
        ruled = f" {title} ".center(wide, "─") if title and len(some) > 1 else title
        titles.append(ruled.rjust(wide + 1))
    yield BETWEEN_GROUPS.join(titles).rstrip()
    yield f"[bold]{_line(heads, widths, groups)}[/bold]"
    yield from (_line(row, widths, groups) if row else "" for row in rows)


def _line(cells: Sequence[str], widths: Sequence[int], groups: Sequence[Group]) -> str:
    ruled = [cell.rjust(width) for cell, width in zip(cells, widths, strict=True)]
    return BETWEEN_GROUPS.join("".join(own) for own in _shared(ruled, groups))


def _shared(figures: Sequence[T], groups: Sequence[Group]) -> Iterator[Sequence[T]]:
    """Share figures out among the groups, in order."""
    begun = 0
    for _, heads in groups:
        yield figures[begun : begun + len(heads)]
        begun += len(heads)
