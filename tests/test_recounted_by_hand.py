"""Short stories on the whole season's fields, played and recounted: what a season brings too seldom to rely on."""

from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot.whole_season.happening import (
    AskedFor,
    Counted,
    Counts,
    Fixed,
    Happening,
    HeldBack,
    LeftShort,
    Meaning,
    Nothing,
    Opened,
    OptedOut,
    SaidOk,
    Says,
    SentOn,
    Shut,
    Strikes,
    TakenBack,
    Unreadable,
)
from storage import Store
from tests.recount.playing import play_by_hand

ZONE = ZoneInfo("America/Chicago")
THURSDAY, FRIDAY, SATURDAY, SUNDAY = (date(2027, 6, day) for day in (10, 11, 12, 13))


def _at(time: str, day: date = THURSDAY) -> datetime:
    return datetime.fromisoformat(f"{day.isoformat()}T{time}").replace(tzinfo=ZONE)


def _says(who: str, time: str, text: str, *means: Meaning, day: date = THURSDAY) -> Says:
    return Says(f"{who} {day} {time}", _at(time, day), None, who, text, means)


def _strikes(*times: str, day: date = THURSDAY) -> list[Strikes]:
    return [Strikes(_at(time, day)) for time in times]


def _counts(site: int, by: str, *samples: Counts, first: int = 1) -> Counted:
    return Counted(site, THURSDAY, by, dict(enumerate(samples, first)))


def _on(day: date, who: str, time: str, text: str, *samples: Counts) -> Says:
    return _says(who, time, text, Counted(37, day, who, dict(enumerate(samples, 1))), day=day)


ABOVE = _counts(37, "elio", {"LN": 9}, {"LN": 5}, {}, {})
ABOVE_TEXT = "37 1 LN9 / 2 LN5 / 3 0 / 4 0"

STORIES: dict[str, list[Happening]] = {
    "a correction takes an alert back": [
        _says("elio", "09:00", ABOVE_TEXT, ABOVE),
        *_strikes("09:30"),
        _says("elio", "09:40", "37 FIX 1 LN1", Fixed(37, THURSDAY, 1, {"LN": 1})),
        *_strikes("12:30"),
    ],
    "an alert is mended in quiet hours before it left": [
        _says("elio", "06:00", ABOVE_TEXT, ABOVE),
        _says("elio", "06:10", "37 FIX 1 0", Fixed(37, THURSDAY, 1, {})),
        *_strikes("08:02", "10:03"),
    ],
    "an alert of the evening is corrected in quiet hours": [
        *_strikes("18:31"),
        _says("elio", "20:50", ABOVE_TEXT, ABOVE),
        _says("elio", "21:10", "37 FIX 1 0", Fixed(37, THURSDAY, 1, {})),
        *_strikes("21:15"),
        *_strikes("08:02", "10:03", day=FRIDAY),
    ],
    "all is taken back and counted again": [
        _says("elio", "09:50", ABOVE_TEXT, ABOVE),
        _says("elio", "10:00", "37 UNDO", TakenBack(f"elio {THURSDAY} 09:50")),
        _says("elio", "10:05", "37 1 LN1 / 2 0 / 3 0 / 4 0", _counts(37, "elio", {"LN": 1}, {}, {}, {})),
        *_strikes("12:15"),
    ],
    "a sign is seen, and the grower gives the hours": [
        _says("wade", "09:50", "541 1 LN1 / 2 0 / 3 0 / 4 0", _counts(541, "wade", {"LN": 1}, {}, {}, {})),
        _says("wade", "09:55", "54 POSTED", Shut(54, "wade", "posted", None)),
        _says("macario", "09:57", "54 SPRAYED 24", Shut(54, "macario", "sprayed", 24)),
        *_strikes("10:09"),
        *_strikes("10:15", "18:31", day=FRIDAY),
        *_strikes("08:02", day=SUNDAY),
    ],
    "a supervisor gives the hours, then opens": [
        _says("tess", "09:55", "58 SPRAYED 8 OZ", Shut(58, "tess", "sprayed", None)),
        *_strikes("10:06"),
        _says("delia", "10:10", "58 OPEN 48", AskedFor(58, "delia")),
        _says("delia", "10:11", "1", Opened(58, "delia", 48)),
        *_strikes("10:15", "10:22", "18:31"),
        _says("delia", "09:50", "58 OPEN", AskedFor(58, "delia"), day=SATURDAY),
        _says("delia", "09:51", "1", Opened(58, "delia", None), day=SATURDAY),
        *_strikes("10:09", "18:31", day=SATURDAY),
        *_strikes("08:02", day=SUNDAY),
    ],
    "grower and scout want no more texts": [
        _says("amos", "09:00", "STOP", OptedOut("amos")),
        _says("elio", "09:50", ABOVE_TEXT, ABOVE),
        _says("elio", "09:55", "STOP", OptedOut("elio")),
        _says("delia", "09:58", "37 SPRAYED 24", Shut(37, "delia", "sprayed", 24)),
        *_strikes("12:15", "18:31"),
    ],
    "somebody who is not on the list counts it above": [
        _says("gil", "09:50", ABOVE_TEXT, _counts(37, "gil", {"LN": 9}, {"LN": 5}, {}, {})),
        *_strikes("10:15"),
        _says("omar", "10:20", "37 WAIT", HeldBack(37, "omar")),
        *_strikes("18:31"),
        _says("omar", "10:20", "37 SEND", SentOn(37, "omar"), day=FRIDAY),
        *_strikes("12:31", day=FRIDAY),
        _says("amos", "12:40", "who called me about this", Unreadable("amos"), day=FRIDAY),
        *_strikes("14:51", day=FRIDAY),
    ],
    "an open question keeps an alert until it is answered": [
        _says("elio", "09:50", "37 1 LN5 / 2 LN4 / 3 0", _counts(37, "elio", {"LN": 5}, {"LN": 4}, {})),
        _says("elio", "09:55", "37 1 LN60", AskedFor(37, "elio")),
        _says("rhett", "09:56", "BY ELIO 37 4 LN1", _counts(37, "elio", {"LN": 1}, first=4)),
        *_strikes("10:00"),
        _says("elio", "10:15", "2", Nothing("elio")),
        *_strikes("10:33", "12:15"),
    ],
    "a grower hears once that an alert is of the past": [
        _says("elio", "09:00", "37 1 FA40 / 2-4 0", _counts(37, "elio", {"FA": 40}, {}, {}, {})),
        _says("amos", "09:02", "ok", SaidOk("amos")),
        _on(FRIDAY, "elio", "09:00", "37 1-4 0", {}, {}, {}, {}),
        _on(SATURDAY, "elio", "09:00", "37 1 FA16 / 2-4 0", {"FA": 16}, {}, {}, {}),
        _on(SUNDAY, "elio", "09:00", "37 1-4 0", {}, {}, {}, {}),
    ],
    "a grower was told of a correction and hears nothing of it again": [
        _says("elio", "09:00", "37 1 FA40 / 2-4 0", _counts(37, "elio", {"FA": 40}, {}, {}, {})),
        _says("amos", "09:02", "ok", SaidOk("amos")),
        _on(FRIDAY, "elio", "09:00", "37 1 FA36 / 2-4 0", {"FA": 36}, {}, {}, {}),
        _says("amos", "09:02", "ok", SaidOk("amos"), day=FRIDAY),
        _says("elio", "09:10", "37 FIX 1 FA3", Fixed(37, FRIDAY, 1, {"FA": 3}), day=FRIDAY),
        _on(SATURDAY, "elio", "09:00", "37 1-4 0", {}, {}, {}, {}),
    ],
    "hours run out in quiet hours and the field is shut again": [
        _says("amos", "06:34", "37 SPRAYED 24", Shut(37, "amos", "sprayed", 24)),
        _says("elio", "06:40", "ok", SaidOk("elio")),
        *_strikes("08:02", "18:31"),
        *_strikes("06:48", "07:03", day=FRIDAY),
        _says("amos", "07:50", "37 SPRAYED 24", Shut(37, "amos", "sprayed", 24), day=FRIDAY),
        *_strikes("08:02", day=FRIDAY),
        _says("elio", "08:10", "ok", SaidOk("elio"), day=FRIDAY),
        *_strikes("18:31", day=FRIDAY),
        *_strikes("08:02", day=SATURDAY),
    ],
    "a notice that quiet hours hold says the newest": [
        _says("gil", "07:30", "37 1 LN9 / 2 LN5", _counts(37, "gil", {"LN": 9}, {"LN": 5})),
        _says("gil", "07:50", "37 SHORT rain", LeftShort(37, THURSDAY, "rain")),
        *_strikes("08:02", "18:31"),
    ],
    "a column that was not counted takes its effort out": [
        _says(
            "elio",
            "09:50",
            "37 1 LN3 FA9 / 2 LNX FA9",
            _counts(37, "elio", {"LN": 3, "FA": 9}, {"LN": None, "FA": 9}),
        ),
        _says("elio", "09:55", "37 3 X", Counted(37, THURSDAY, "elio", {3: None})),
        _says("elio", "10:00", "37 3 LN1 / 4 LN4", _counts(37, "elio", {"LN": 1}, {"LN": 4}, first=3)),
        *_strikes("10:33", "18:31"),
    ],
}


@pytest.mark.parametrize("story", STORIES)
def test_the_recount_agrees_where(story: str, tmp_path: Path) -> None:
    """Rowfoot shows and says what the pages give for this story."""
    store = Store(f"sqlite:///{tmp_path / 'story.db'}")
    try:
        played = play_by_hand(store, STORIES[story])
    finally:
        store.close()
    assert not played.lines, "\n".join(played.lines)
