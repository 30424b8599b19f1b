"""After a treatment: by how much, in percent, there are fewer insects than there would have been.

Densities go in, in any unit as long as it is one for all; units cancel. Below 0 there are more than there
would have been. None is given where a formula divides by 0: there is nothing to compare with. OutOfRange is
raised where densities lie so far apart that no number holds their ratio.
"""

import math
from dataclasses import dataclass

from bot.statistics.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class Change:
    """A density before a treatment and one after it, in the treated field or in an untreated check."""

    before: float
    after: float

    def __post_init__(self) -> None:
        """Raise OutOfRange for a density that is under 0 or no number."""
        for density in (self.before, self.after):
            if not 0 <= density < math.inf:
                raise OutOfRange(f"A density is 0 or more; {density:g} is not.")


def abbott(treated: Change, check: Change) -> float | None:
    """Give the control by what is left after a treatment, treated against an untreated check.

    100 * (1 - T after / C after), for fields that began alike. Source: Abbott 1925, J. Econ. Entomol. 18:265-267.
    None where the check has nothing after.
    """
    if not check.after:
        return None
    return _fewer(treated.after / check.after)


def henderson_tilton(treated: Change, check: Change) -> float | None:
    """Give the control by the change in the treated field against that in an untreated check.

    100 * (1 - T after / T before * C before / C after). Source: Henderson & Tilton 1955, J. Econ. Entomol.
    48:157-161. None where the treated field had nothing before, or the check nothing before or after.
    """
    if not (treated.before and check.before and check.after):
        return None
    return _fewer(treated.after / treated.before * (check.before / check.after))


def before_after(treated: Change) -> float | None:
    """Give the plain fall from before to after, which also holds what would have changed without a treatment.

    100 * (1 - T after / T before). None where there was nothing before.
    """
    if not treated.before:
        return None
    return _fewer(treated.after / treated.before)


def _fewer(left: float) -> float:
    percent = 100 * (1 - left)
    if not math.isfinite(percent):
        raise OutOfRange("These densities lie too far apart to be compared.")
    return percent
