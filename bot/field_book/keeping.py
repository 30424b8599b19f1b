"""What a book has worked out is kept until something changes that it was worked out from."""

from collections.abc import Callable, Hashable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar, cast

from storage import Session, changes

Args = ParamSpec("Args")
Figure = TypeVar("Figure")


class Kept:
    """Figures by what they are of; all of them go at the first change of what a book reads."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._as_of = changes(session)
        self._figures: dict[Hashable, Any] = {}

    def figure(self, of: Hashable, work_out: Callable[[], Figure]) -> Figure:
        """Give a figure, worked out only where it is not kept."""
        as_of = changes(self._session)
        if as_of != self._as_of:
            self._figures.clear()
            self._as_of = as_of
        if of not in self._figures:
            self._figures[of] = work_out()
        return cast("Figure", self._figures[of])


class Keeps(Protocol):
    """A book that keeps what it has worked out."""

    kept: Kept


Book = TypeVar("Book", bound=Keeps)


def is_kept(
    method: Callable[Concatenate[Book, Args], Figure],
) -> Callable[Concatenate[Book, Args], Figure]:
    """Let what a book's method gives be kept; nobody may change it."""

    @wraps(method)
    def kept(book: Book, /, *args: Args.args, **named: Args.kwargs) -> Figure:
        of = (method.__qualname__, *args, *sorted(named.items()))
        return book.kept.figure(of, lambda: method(book, *args, **named))

    return kept
