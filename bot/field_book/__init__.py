"""The field book: what the season file and the counts say together, at one moment."""

from bot.field_book.book import FieldBook
from bot.field_book.retention import SQUARES
from bot.field_book.seasons import SeasonShelf
from bot.field_book.show import show
from bot.field_book.snapshots import plan_of
from bot.field_book.views import FieldView, SiteView
from bot.field_book.visits import begin_visit, skip_visit

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
