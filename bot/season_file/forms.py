"""The tables of a season file and of a level book: their keys, types and defaults.

Only what one table tells by itself is checked here; a later key may look back at an earlier one (`high`
at `low`, `per` at `method`), so the order of keys matters. What takes two tables is checked beside its noun.

A required key has no default and admits None, which TOML cannot write: None stands in for a key that is
missing or faulty, so that the rest of its table is still read and all faults come in one go.
"""

from datetime import date, time
from fractions import Fraction
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator

from bot.rules import Effort, HeatMethod, Method, Unit
from bot.season_file.faults import listed
from bot.season_file.values import (
    Amount,
    Clock,
    Code,
    Columns,
    Country,
    EffortText,
    EmailAddress,
    FixedAsNone,
    HeatMethodWord,
    Language,
    LastDigits,
    MethodWord,
    PlanByStage,
    Risk,
    RoleWord,
    StopHeatUnits,
    Text,
    TimeZone,
    TwoTimes,
    Whole,
)

MOST_SAMPLES = 99
LARGEST_COUNT = 9999
"""A count has at most 4 digits (texts.md, section 1)."""

GEAR = {
    "hoop_in": (Method.SWEEP_NET,),
    "sheet": (Method.BEAT_SHEET,),
    "bucket_qt": (Method.BEAT_BUCKET,),
}
"""The gear keys of a plan, and the methods that use such gear."""


class Form(BaseModel):
    """A table whose keys are all named; a key that is not is a fault."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class SeasonForm(Form):
    """The table [season]: who runs the programme, and when its machine may speak.

    `heat_method` is "mean" or "single triangle"; `cutout_nawf` the nodes above white flower at and under which
    cutout is proposed; `stop_heat_units` a number since cutout, or the id of a [[stop_time]].
    """

    name: Text | None
    timezone: TimeZone | None
    country: Country | None
    contact: Text | None
    level_book: Text | None
    emergency: Text = "911"
    quiet: TwoTimes = [time(21), time(8)]
    day_ends: Clock = time(18, 30)
    alerts: Literal["automatic", "reviewed"] = "automatic"
    reminder_hours: Amount = Fraction(2)
    silence_minutes: Whole = 90
    morning: Clock | None = None
    accept_unverified: list[Text] = []
    poison_line: Text | None = None
    heat_method: HeatMethodWord = HeatMethod.MEAN
    cutout_nawf: Amount = Fraction(5)
    stop_heat_units: StopHeatUnits | None = None


class PersonForm(Form):
    """A table [people.KEY]."""

    name: Text | None
    roles: Annotated[list[RoleWord], Field(min_length=1)] | None
    phone: Text | None = None
    language: Language = "en"
    crew: list[Text] = []
    visual: bool = False
    trainee: bool = False
    active: bool = True
    email: EmailAddress | None = None


class FieldForm(Form):
    """A table [fields.NUMBER]. `untreated_check` is another field, against which a treatment of this one is set."""

    name: Text | None
    row_spacing_in: Amount | None
    plan: PlanByStage | None
    sites: LastDigits = ()
    growers: list[Text] = []
    scouts: list[Text] = []
    supervisors: list[Text] | None = None
    where: Text | None = None
    beside: list[int] = []
    untreated_check: int | None = None
    first_square: date | None = None
    first_bloom: date | None = None
    cutout: date | None = None
    stop_heat_units: StopHeatUnits | None = None


class EachForm(Form):
    """The effort of one sample: exactly one of the keys."""

    sweeps: Amount | None = None
    row_ft: Amount | None = None
    plants: Amount | None = None
    terminals: Amount | None = None

    @model_validator(mode="after")
    def one_unit(self) -> Self:
        if len(self.model_fields_set) != 1:
            raise ValueError("This takes exactly one of sweeps, row_ft, plants and terminals.")
        return self

    @property
    def effort(self) -> Effort:
        """The effort that the one key gives."""
        units = {Unit.SWEEPS: self.sweeps, Unit.ROW_FT: self.row_ft, Unit.PLANTS: self.plants}
        given = [Effort(amount, unit) for unit, amount in units.items() if amount is not None]
        return given[0] if given else Effort(self.terminals or Fraction(0), Unit.TERMINALS)


class StopForm(Form):
    """The stop lines of a sequential plan."""

    rule: Literal["sequential"] | None
    target: Text | None
    low: Amount | None
    high: Amount | None
    per: EffortText | None
    alpha: Risk | None
    beta: Risk | None
    at_least: Whole | None
    k: Amount | None = None

    @field_validator("high")
    @classmethod
    def above_low(cls, high: Fraction | None, info: ValidationInfo) -> Fraction | None:
        low = info.data.get("low")
        if high is not None and low is not None and low >= high:
            raise ValueError(f"Between the stop lines, low must be less than high; low is {plain(low)}.")
        return high

    @field_validator("beta")
    @classmethod
    def risks_under_one(cls, beta: Fraction | None, info: ValidationInfo) -> Fraction | None:
        alpha = info.data.get("alpha")
        if beta is not None and alpha is not None and alpha + beta >= 1:
            raise ValueError(f"alpha and beta together must be less than 1; alpha is {plain(alpha)}.")
        return beta


class PlanForm(Form):
    """A table [plans.KEY]."""

    method: MethodWord | None
    samples: Annotated[int, Field(ge=1, le=MOST_SAMPLES)] | None
    each: EachForm | None
    card: Annotated[list[Code], Field(min_length=1)] | None
    every_days: Whole = 7
    least: Whole | None = None
    ask_above: Annotated[int, Field(ge=1, le=LARGEST_COUNT)] = 40
    stop: Annotated[StopForm | None, FixedAsNone] = None
    recheck_days: list[Whole] = [3, 5]
    level: Literal["none"] | None = None
    hours: TwoTimes | None = None
    hoop_in: Amount | None = None
    sheet: Text | None = None
    bucket_qt: Amount | None = None

    @field_validator("each")
    @classmethod
    def unit_of_the_method(cls, each: EachForm | None, info: ValidationInfo) -> EachForm | None:
        method = info.data.get("method")
        if each is not None and method is not None and each.effort.unit not in method.units:
            raise ValueError(f"The effort of a {method} sample is in {listed(method.units)}.")
        return each

    @field_validator("least")
    @classmethod
    def not_over_samples(cls, least: int | None, info: ValidationInfo) -> int | None:
        samples = info.data.get("samples")
        if least is not None and samples is not None and least > samples:
            raise ValueError(f"The least number of samples is over the plan's {samples}.")
        return least

    @field_validator("hours")
    @classmethod
    def from_early_to_late(cls, hours: list[time] | None) -> list[time] | None:
        if hours is not None and hours[0] >= hours[1]:
            raise ValueError("The first of the two times must be the earlier one.")
        return hours

    @field_validator(*GEAR)
    @classmethod
    def gear_of_the_method(cls, gear: object, info: ValidationInfo) -> object:
        method = info.data.get("method")
        if gear is not None and method is not None and method not in GEAR[info.field_name or ""]:
            raise ValueError(f"A {method} sample has no such gear.")
        return gear


class TargetForm(Form):
    """A table [targets.KEY]: its codes, and the life stage that each counts."""

    name: Text | None
    columns: Columns | None


class ShareForm(Form):
    """A table [shares.KEY]."""

    name: Text | None
    code: Code | None
    of: Text | None
    said: Text | None
    look: Annotated[int, Field(ge=1, le=LARGEST_COUNT)] | None


def plain(number: Fraction) -> str:
    """Give a number as a fault says it."""
    return f"{float(number):g}"  # for the eye only
