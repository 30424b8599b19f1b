"""The tables of a level book: levels with what else they ask for, stop times after cutout, the book itself.

Keys and faults as in `forms`: a season file writes the same tables for rows of its own.
"""

from fractions import Fraction
from typing import Annotated, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator

from bot.rules import Effort
from bot.season_file.faults import listed
from bot.season_file.forms import Form, plain
from bot.season_file.values import (
    Amount,
    EffortText,
    MethodWord,
    Percent,
    RetentionWord,
    Span,
    StageWeights,
    TargetWeights,
    Text,
    Whole,
)


class AlsoForm(Form):
    """The second count of a level."""

    count: StageWeights
    at_least: Amount
    per: EffortText


class RetentionForm(Form):
    """The mark of square retention of a level."""

    below: Percent | None = None
    at_most: Percent | None = None
    how: RetentionWord

    @model_validator(mode="after")
    def one_mark(self) -> Self:
        if (self.below is None) == (self.at_most is None):
            raise ValueError("This takes exactly one of below and at_most.")
        return self


class LevelForm(Form):
    """A row [[level]], of a level book or of a season file."""

    id: Text | None
    target: Text | None = None
    share: Text | None = None
    method: MethodWord | None = None
    count: StageWeights | None = None
    others: TargetWeights | None = Field(default=None, alias="with")
    stage: list[Span] | None
    low: Amount | None
    high: Amount | None = None
    per: EffortText | None
    also: AlsoForm | None = None
    retention: RetentionForm | None = None
    source: Text | None
    year: Annotated[int, Field(ge=1900, le=2100)] | None = None
    verified: bool | None

    @field_validator("high")
    @classmethod
    def not_under_low(cls, high: Fraction | None, info: ValidationInfo) -> Fraction | None:
        low = info.data.get("low")
        if high is not None and low is not None and low > high:
            raise ValueError(f"The low of {plain(low)} is over the high of {plain(high)}.")
        return high

    @field_validator("per", "also")
    @classmethod
    def per_of_the_method(
        cls, value: Effort | AlsoForm | None, info: ValidationInfo
    ) -> Effort | AlsoForm | None:
        # A share has no method; a level that names both is told so, and that is enough.
        method = None if info.data.get("share") else info.data.get("method")
        per = value.per if isinstance(value, AlsoForm) else value
        if per is not None and method is not None and per.unit not in method.units:
            raise ValueError(f"The effort of a {method} is in {listed(method.units)}, not in {per.unit}.")
        return value


class StopTimeForm(Form):
    """A row [[stop_time]], of a level book or of a season file: the heat units since cutout for a pest.

    `pest` is the key of a target where it is one, else "bollworm", "all" or plain words.
    """

    id: Text | None
    pest: Text | None
    units: Whole | None
    source: Text | None
    year: Annotated[int, Field(ge=1900, le=2100)] | None = None


class BookForm(Form):
    """The table [book] of a level book."""

    name: Text | None
    region: Text | None
