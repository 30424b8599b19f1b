"""What can be wrong with a text."""

from dataclasses import dataclass
from enum import StrEnum, auto


class Kind(StrEnum):
    """What can be wrong with a text; each has its own answer in `replies`."""

    NOT_UNDERSTOOD = auto()
    UNKNOWN_SITE = auto()
    SITE_MISSING = auto()
    SITE_GLUED = auto()
    FIELD_NOT_SITE = auto()
    SECOND_SITE = auto()
    STAGE_NEEDED = auto()
    SAMPLE_NUMBER_MISSING = auto()
    SAMPLE_TWICE = auto()
    NO_SUCH_SAMPLE = auto()
    SAMPLE_GLUED = auto()
    NOTHING_AFTER = auto()
    WRONG_QUANTITY = auto()
    PACKED_LENGTH = auto()
    RANGE_TAKES_ZERO = auto()
    NEEDS_BREAKS = auto()
    UNKNOWN_CODE = auto()
    UNKNOWN_WORD = auto()
    CODE_WITHOUT_NUMBER = auto()
    NUMBER_WITHOUT_CODE = auto()
    COLUMN_TWICE = auto()
    COUNT_FIRST = auto()
    BOTH_ORDERS = auto()
    DECIMAL = auto()
    NEGATIVE = auto()
    TOO_LARGE = auto()
    LEADING_ZERO = auto()
    X_NOT_HERE = auto()
    SHARE_NEEDS_TWO = auto()
    SHARE_PERCENT = auto()
    SHARE_OVER = auto()
    SHARE_OF_NONE = auto()
    STAGE_UNKNOWN = auto()
    STAGE_WITHOUT_WEEKS = auto()
    TOTAL_TWICE = auto()
    ONE_SHARE = auto()
    TOTALS_OF = auto()
    TOTALS_QUANTITY = auto()
    TOTALS_NEVER_PACKED = auto()
    TOTALS_ALONE = auto()
    MOVE_WHERE = auto()
    EACH_NUMBER = auto()
    NAWF_NUMBERS = auto()
    NAWF_UNCLEAR = auto()
    NAWF_LARGE = auto()
    NOTE_EMPTY = auto()
    WHERE_WHICH = auto()
    PREFIX_AFTER = auto()
    TELL_WHAT = auto()
    TEMP_TWO = auto()
    HAND_TO_WHOM = auto()
    OPEN_HOURS = auto()


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a text that cannot be taken.

    `span` is its place in the text as it came; `said` the words or numbers meant, folded; `hint` the
    form to send instead where the text itself shows it; `sample` the sample that it concerns.
    """

    kind: Kind
    span: tuple[int, int]
    said: str = ""
    hint: str = ""
    sample: int | None = None
