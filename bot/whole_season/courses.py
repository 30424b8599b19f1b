"""How each field's season runs, as the invented year has it: its insects against their level, and its squares.

All figures are by week of the season, the first beginning on June 7. 1 is the upper end of the level there.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Course:
    """A field's season: the weekday of its first visit, its insects by their level, its squares in percent."""

    weekday: int
    fleahopper: tuple[float, ...]
    lygus: tuple[float, ...]
    squares: tuple[int, ...]


CALM = (0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.4, 0.35)
SLOW = (0.1, 0.2, 0.4, 0.6, 0.9, 1.05, 1.2, 1.1, 1.0)
HOT = (0.3, 0.6, 0.9, 1.3, 1.7, 1.9, 1.8, 1.6, 1.4)
EARLY = (0.8, 1.3, 1.5, 1.4, 1.0, 0.9, 1.2, 1.3, 1.1)
LATE = (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.3, 1.7, 1.8)
EDGE = (0.5, 0.7, 0.85, 0.95, 0.95, 0.9, 0.95, 0.9, 0.85)

FEW = (0.15, 0.3, 0.3, 0.2, 0.1, 0.05, 0.05, 0.02, 0.02)
SOME = (0.4, 0.7, 0.6, 0.4, 0.2, 0.1, 0.1, 0.05, 0.05)
MANY = (0.8, 1.4, 1.2, 0.8, 0.3, 0.2, 0.1, 0.1, 0.1)

WHOLE = (96, 95, 93, 91, 90, 88, 86, 84, 82)
THIN = (90, 78, 76, 77, 80, 81, 82, 80, 80)
POOR = (84, 72, 70, 71, 73, 76, 78, 78, 78)

COURSES: dict[int, Course] = {
    21: Course(0, SOME, HOT, THIN),
    25: Course(0, MANY, EARLY, POOR),
    27: Course(1, FEW, SLOW, WHOLE),
    32: Course(2, SOME, EARLY, POOR),
    37: Course(0, MANY, HOT, THIN),
    39: Course(1, FEW, LATE, WHOLE),
    43: Course(3, SOME, HOT, WHOLE),
    47: Course(0, SOME, EDGE, THIN),
    51: Course(1, FEW, HOT, WHOLE),
    54: Course(2, MANY, EARLY, POOR),
    58: Course(4, FEW, CALM, WHOLE),
    63: Course(3, SOME, SLOW, WHOLE),
    65: Course(1, MANY, HOT, THIN),
    78: Course(2, SOME, SLOW, POOR),
}
