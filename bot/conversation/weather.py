"""Yesterday's high and low from a supervisor, and what the heat since cutout comes to: said, never advised."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.field_book import FieldBook, heat_since, in_cutout_since, temperatures_of, temperatures_since
from bot.replies import Speech, exact_number, figure_number, first_fitting, plain_number, with_field
from bot.rules import Field, HeatSum, Role, StopTime, Temperatures, heat_units
from parsing import Temp
from storage import TemperatureRow, first_time, temperature_on

COLDEST_HIGH = 50
"""Under it a day's high may be in degrees Celsius, of which a summer's day has fewer: F is asked for."""


def hear_temp(turn: Turn, said: Temp) -> None:
    """Keep the high and low of the day before the text was sent; a second pair of a day replaces the first."""
    turn.dated = True
    if Role.SUPERVISOR not in turn.person.roles:
        names = [one.first_name for one in turn.season.with_role(Role.SUPERVISOR)]
        turn.reply(turn.say("weather.who", names=turn.speech.names(names)), turn.say("weather.who_short"))
        return
    if said.high < COLDEST_HIGH:
        turn.reply(turn.say("weather.celsius", high=said.high, low=said.low))
        return
    book, day = turn.book, turn.day - timedelta(days=1)
    before = temperature_on(book.session, day)
    now = Temperatures(Fraction(said.high), Fraction(said.low))
    same = before is not None and temperatures_of(before) == now
    if not same:
        book.session.add(
            TemperatureRow(
                day=day,
                high=str(said.high),
                low=str(said.low),
                person=turn.person.key,
                text_id=turn.text.id,
                noted_at=turn.sent,
            )
        )
        book.session.flush()
    was = ""
    if before is not None and not same:
        old = temperatures_of(before)
        was = turn.say("weather.was", high=exact_number(old.high), low=exact_number(old.low))
    turn.reply(*_said(turn, day, now, was, "weather.same" if same else "weather.kept"))


def _said(turn: Turn, day: date, now: Temperatures, was: str, key: str) -> list[str]:
    """Give the reply with as many of the sender's fields past cutout as have room, those nearest their mark first."""
    units = plain_number(heat_units(now, turn.season.heat_method))
    items = [_item(turn.speech, one) for one in _since_cutout(turn, day)]
    wordings = []
    for count in range(len(items), -1, -1):
        shown = items[:count]
        if count < len(items):
            shown.append(turn.say("digest.and_more", n=len(items) - count))
        fields = turn.say("weather.since", items="; ".join(shown)) if count else ""
        wordings.append(
            turn.say(
                key,
                day=turn.speech.short_date(day),
                high=exact_number(now.high),
                low=exact_number(now.low),
                units=units,
                was=was,
                fields=fields,
            )
        )
    return wordings


@dataclass(frozen=True, slots=True)
class _Heated:
    """A field past cutout, with its heat since."""

    field: Field
    since: date
    heat: HeatSum

    @property
    def stop(self) -> StopTime | None:
        return self.field.stop_time

    @property
    def to_go(self) -> Fraction | None:
        return None if self.stop is None else self.stop.units - self.heat.total

    def said(self, speech: Speech) -> str:
        """Give the sum so that it never stands on the wrong side of its mark: 352, at least 340.5."""
        total = figure_number(self.heat.total, (Fraction(self.stop.units) if self.stop else None,))
        return speech.say("weather.at_least", sum=total) if self.heat.missing else total

    def missing(self, speech: Speech) -> str:
        """Say of how many days nothing is known, empty where all are."""
        match len(self.heat.missing):
            case 0:
                return ""
            case 1:
                return speech.say("weather.missing_one", day=speech.short_date(self.heat.missing[0]))
            case count:
                return speech.say("weather.missing", n=count)


def _since_cutout(turn: Turn, day: date) -> list[_Heated]:
    """Give the sender's fields whose sum a day's heat is part of."""
    fields = [field for field in turn.season.fields.values() if turn.person.key in field.supervisors]
    heated = [one for one in _heated(turn.book, fields) if one.since <= day]
    return sorted(heated, key=lambda one: (one.to_go is None, one.to_go or 0))


def _heated(book: FieldBook, fields: Iterable[Field]) -> list[_Heated]:
    """Give those of some fields that are in cutout, with their heat since."""
    cutouts = [(field, since) for field in fields if (since := in_cutout_since(book, field)) is not None]
    if not cutouts:
        return []
    known = temperatures_since(book, min(since for _, since in cutouts))
    # many fields share a day of cutout, and the clock asks every few seconds
    sums = {since: heat_since(book, since, known) for _, since in cutouts}
    return [_Heated(field, since, sums[since]) for field, since in cutouts]


def _item(speech: Speech, one: _Heated) -> str:
    key = "weather.item" if one.stop is None else "weather.item_of"
    units = one.stop.units if one.stop is not None else ""
    missing = one.missing(speech)
    return speech.say(key, field=one.field.number, sum=one.said(speech), units=units, missing=missing)


def tell_heat(book: FieldBook) -> None:
    """Tell the supervisors of a field, once for a cutout, that its heat units have reached what the season names.

    Where days are missing the sum is the least that it can be, so what it has reached is reached.
    """
    for one in _heated(book, (field for field in book.season.fields.values() if field.stop_time is not None)):
        key = f"{Purpose.NOTICE}:heat:{one.field.number}:{one.since}"
        stop = one.stop
        if stop is not None and one.heat.total >= stop.units and first_time(book.session, key, book.now):
            _tell(book, one, stop, key)


def _tell(book: FieldBook, one: _Heated, stop: StopTime, key: str) -> None:
    template = "notice.heat" if one.heat.total > stop.units else "notice.heat_met"

    def build(speech: Speech) -> str:
        return first_fitting(
            *(
                with_field(
                    speech,
                    template,
                    one.field,
                    sum=one.said(speech),
                    day=speech.short_date(one.since),
                    missing=one.missing(speech),
                    units=stop.units,
                    source=source,
                )
                for source in _sources(book, speech, stop)
            )
        )

    tell_supervisors(book, one.field, key, build, cause=None)


def _sources(book: FieldBook, speech: Speech, stop: StopTime) -> Sequence[str]:
    """Name whose number it is: with the pest and the year, the source alone, then its id."""
    if stop.source is None:
        return (speech.say("weather.season"),)
    whole = stop.source if stop.year is None else f"{stop.source} {stop.year}"
    pest = pest_words(book, speech, stop.pest or "")
    return (f"{whole} ({pest})", whole, stop.source, stop.id or stop.source)


def pest_words(book: FieldBook, speech: Speech, pest: str) -> str:
    """Give the name of a pest of a stop time: of a target of the season, of the wording, else as it is written."""
    if pest in book.season.targets:
        return speech.target(book.season, pest)
    return speech.say(f"pests.{pest}") if speech.has(f"pests.{pest}") else pest
