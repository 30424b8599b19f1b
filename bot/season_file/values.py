"""The values of a season file, one by one: how each is written and what it is read as.

Every reader takes what TOML gave and returns the value, or raises ValueError with the sentence that the
fault says; pydantic gathers these. Numbers come as int or Decimal and become fractions: no floats.
"""

import re
from datetime import time
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Annotated, TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import AfterValidator, BeforeValidator, Field, PlainValidator, StringConstraints

from bot.rules import (
    LIFE_STAGES,
    Effort,
    HeatMethod,
    Method,
    RetentionRule,
    Role,
    StageSpan,
    Unit,
    parse_span,
)
from bot.season_file.faults import listed
from bot.season_file.phones import is_country
from parsing import LANGUAGES

WordT = TypeVar("WordT", bound=StrEnum)

LARGEST = 1_000_000
FINEST = Decimal("0.000001")
_EFFORT = re.compile(rf"([0-9]{{1,6}}(?:\.[0-9]{{1,6}})?) ({'|'.join(Unit)})")

LONGEST_EMAIL = 254
"""RFC 5321, 4.5.3.1.3, as RFC 3696's erratum 1690 reckons it: a path of 256 octets less its two brackets."""

_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_LABEL = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_EMAIL = re.compile(rf"(?=[^@]{{1,64}}@){_ATOM}(?:\.{_ATOM})*@(?:{_LABEL}\.)+{_LABEL}")
"""A dot-atom at a domain name (RFC 5322, 3.2.3 and 3.4.1; RFC 1035, 2.3.1), without quotes, comments and names."""

MOST_SITES = 5
"""`sites = N` goes to 5: there are five odd digits."""


def _exact(value: object) -> Fraction:
    number = Decimal(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else None
    # The bounds keep 1e999999 from becoming a fraction that fills the memory.
    if number is None or not number.is_finite() or abs(number) > LARGEST or 0 < abs(number) < FINEST:
        raise ValueError(f"This must be a number, at most {LARGEST}.")
    return Fraction(number)


def _above_zero(value: Fraction) -> Fraction:
    if value <= 0:
        raise ValueError("This must be more than 0.")
    return value


def _below_one(value: Fraction) -> Fraction:
    if value >= 1:
        raise ValueError("This must be less than 1.")
    return value


def _percent(value: Fraction) -> Fraction:
    if value > 100:
        raise ValueError("This is in percent and must not be over 100.")
    return value


def _clock(value: object) -> time:
    found = re.fullmatch(r"([01][0-9]|2[0-3]):([0-5][0-9])", value) if isinstance(value, str) else None
    if found is None:
        raise ValueError('This must be a time of day in quotes, like "18:30".')
    return time(int(found[1]), int(found[2]))


def _email(value: object) -> str:
    if isinstance(value, str) and len(value) <= LONGEST_EMAIL and _EMAIL.fullmatch(value):
        return value
    raise ValueError('This must be one plain e-mail address, like "june@larkspur.example".')


def _span(value: object) -> StageSpan:
    span = parse_span(value) if isinstance(value, str) else None
    if span is None:
        raise ValueError(
            f"There is no stage {value}; stages are presquare, squaring, bloom and cutout, "
            'squaring and bloom also with a week: "bloom 3", "bloom 6+".'
        )
    return span


def _plan_stage(value: object) -> StageSpan | None:
    if value is None:
        return None
    span = _span(value)
    if span.onward:
        raise ValueError(f'A plan holds from its stage on anyway: write "{str(span).removesuffix("+")}".')
    return span


def _whole_season(value: object) -> object:
    if isinstance(value, str) and value.strip():
        return {None: value}
    if not isinstance(value, dict) or not value:
        raise ValueError("This must be the key of a plan, or a table of such keys by stage.")
    return value


def _fixed(value: object) -> object:
    if value != "fixed" and not isinstance(value, dict):
        raise ValueError('This must be "fixed" or a table with rule = "sequential".')
    return None if value == "fixed" else value


def _effort(value: object) -> Effort:
    found = _EFFORT.fullmatch(value) if isinstance(value, str) else None
    if found is None or not Fraction(found[1]):
        raise ValueError(f'This must be a number and a unit, like "5 row ft"; units are {listed(Unit)}.')
    return Effort(Fraction(found[1]), Unit(found[2]))


def _sites(value: object) -> tuple[int, ...]:
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_SITES:
        return () if value == 1 else tuple(range(1, 2 * value, 2))
    if not isinstance(value, list) or len(value) < 2 or any(type(digit) is not int for digit in value):
        raise ValueError(
            f"This must be a number from 1 to {MOST_SITES}, or a list of two or more last digits."
        )
    if any(not 0 <= digit <= 9 for digit in value) or len(set(value)) < len(value):
        raise ValueError(
            "These must be single digits, each once: a site is the field's number and one digit."
        )
    return tuple(value)


def _timezone(value: str) -> str:
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        # from None: in which way the lookup failed tells the reader nothing
        raise ValueError(f'There is no time zone {value}; zones are like "America/Chicago".') from None
    return value


def _stop_heat_units(value: object) -> int | str:
    if isinstance(value, str) and value.strip():
        return value.strip()
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= LARGEST:
        return value
    raise ValueError(
        "This must be a whole number of heat units, 1 or more, or the id of a [[stop_time]] in quotes."
    )


def _country(value: str) -> str:
    if not is_country(value):
        raise ValueError(f'There is no country {value}; countries are two capitals, like "US".')
    return value


def _language(value: str) -> str:
    if value not in LANGUAGES:
        raise ValueError(f"There is no language {value}; write one of {listed(LANGUAGES)}.")
    return value


def _life_stage(value: str) -> str:
    if value not in LIFE_STAGES:
        raise ValueError(f"There is no life stage {value}; write one of {listed(LIFE_STAGES)}.")
    return value


def _word_of(words: type[WordT], what: str) -> PlainValidator:
    def read(value: object) -> WordT:
        if not isinstance(value, str) or value not in set(words):
            raise ValueError(f"There is no {what} {value}; write one of {listed(words)}.")
        return words(value)

    return PlainValidator(read)


Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Code = Annotated[Text, AfterValidator(str.upper)]
Whole = Annotated[int, Field(ge=1, le=LARGEST)]
Amount = Annotated[Fraction, PlainValidator(_exact), AfterValidator(_above_zero)]
Risk = Annotated[Amount, AfterValidator(_below_one)]
StopHeatUnits = Annotated[int | str, PlainValidator(_stop_heat_units)]
Percent = Annotated[Amount, AfterValidator(_percent)]
EmailAddress = Annotated[str, PlainValidator(_email)]
Clock = Annotated[time, PlainValidator(_clock)]
TwoTimes = Annotated[list[Clock], Field(min_length=2, max_length=2)]
TimeZone = Annotated[Text, AfterValidator(_timezone)]
Country = Annotated[Text, AfterValidator(_country)]
Language = Annotated[Text, AfterValidator(_language)]
LifeStage = Annotated[Text, AfterValidator(_life_stage)]
Span = Annotated[StageSpan, PlainValidator(_span)]
EffortText = Annotated[Effort, PlainValidator(_effort)]
MethodWord = Annotated[Method, _word_of(Method, "method")]
RoleWord = Annotated[Role, _word_of(Role, "role")]
RetentionWord = Annotated[RetentionRule, _word_of(RetentionRule, "way")]
HeatMethodWord = Annotated[HeatMethod, _word_of(HeatMethod, "method of heat units")]
Columns = Annotated[dict[Code, LifeStage], Field(min_length=1)]
StageWeights = Annotated[dict[LifeStage, Amount], Field(min_length=1)]
TargetWeights = Annotated[dict[Text, Amount], Field(min_length=1)]

LastDigits = Annotated[tuple[int, ...], PlainValidator(_sites)]
"""The last digits of a field's sites; none where the field is one site."""

PlanStage = Annotated[StageSpan | None, PlainValidator(_plan_stage)]
PlanByStage = Annotated[dict[PlanStage, Text], BeforeValidator(_whole_season)]
"""A field's plan keys by the stage from which each holds; None is the whole season."""

FixedAsNone = BeforeValidator(_fixed)
"""Reads a plan's stop: "fixed" is None."""
