"""Heat units of a field: since its cutout, and the temperatures that they are of."""

from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction

from bot.field_book.book import FieldBook
from bot.rules import Field, HeatSum, Temperatures, cutout_day, heat_sum
from storage import TemperatureRow, temperatures_between


def in_cutout_since(book: FieldBook, field: Field, day: date | None = None) -> date | None:
    """Give the day of a field's cutout as known on a day (today if none is said), None where it is not in cutout."""
    by = day or book.today
    return cutout_day(book.marks(field, by), by)


def heat_since(book: FieldBook, since: date, known: Mapping[date, Temperatures] | None = None) -> HeatSum:
    """Sum the heat units from a day on, itself counted in, to yesterday: today is not over.

    `known` are temperatures already at hand (`temperatures_since` that day or an earlier one).
    """
    days = temperatures_since(book, since) if known is None else known
    return heat_sum(days, since, book.today - timedelta(days=1), book.season.heat_method)


def temperatures_since(book: FieldBook, since: date) -> dict[date, Temperatures]:
    """Give the highs and lows from a day on to yesterday, as far as they are known."""
    rows = temperatures_between(book.session, since, book.today - timedelta(days=1))
    return {row.day: temperatures_of(row) for row in rows}


def temperatures_of(row: TemperatureRow) -> Temperatures:
    """Give the kept high and low of a day as the rules see them."""
    return Temperatures(Fraction(row.high), Fraction(row.low))
