"""The field book: what the season file and the counts say together, at one moment."""

from bot.field_book.book import SQUARES, FieldBook, FieldView, SiteView, begin_visit, plan_of, skip_visit
from bot.field_book.seasons import SeasonShelf
from bot.field_book.show import show

__all__ = [
    "SQUARES",
    "FieldBook",
    "FieldView",
    "SeasonShelf",
    "SiteView",
    "begin_visit",
    "plan_of",
    "show",
    "skip_visit",
]
