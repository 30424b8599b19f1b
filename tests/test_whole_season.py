"""A whole season played by its people and recounted from the design pages alone: every standing, text and closure."""

import os
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from bot.whole_season.happening import Caused, Says
from storage import Store
from tests.recount.heard import read_standing
from tests.recount.keeping_out import is_morning, read_keeping_out
from tests.recount.playing import Moment, Played, play_season, recount_again
from tests.restarts.outcome import outcome_of
from tests.restarts.playing import faults_over_restarts

RESTARTS = 200
SEED = int(os.environ.get("ROWFOOT_SEASON_SEED", "1"))
Change = Callable[[Moment], Moment | None]


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Played, Store]]:
    """Play the season once for all tests of this file."""
    folder: Path = tmp_path_factory.mktemp("season")
    store = Store(f"sqlite:///{folder / 'season.db'}", lasting=False)
    try:
        yield play_season(store, SEED), store
    finally:
        store.close()


@pytest.fixture(scope="module")
def played(season: tuple[Played, Store]) -> Played:
    return season[0]


def test_the_whole_season_stands_as_the_recount_has_it(played: Played) -> None:
    """Every standing, alert, notice, reminder, keep-out, plan and digest of nine weeks, from the pages alone."""
    assert not played.lines, f"{len(played.lines)} disagreements:\n" + "\n".join(played.lines[:40])


def test_no_alert_twice_and_none_lost_over_two_hundred_restarts_with_two_clocks(
    season: tuple[Played, Store], tmp_path: Path
) -> None:
    played, store = season
    happenings = [moment.happening for moment in played.moments]
    url, carrier = f"sqlite:///{tmp_path / 'killed.db'}", tmp_path / "carrier.jsonl"
    assert faults_over_restarts(url, carrier, happenings, outcome_of(store), RESTARTS, SEED) == []


def test_the_season_is_worth_recounting(played: Played) -> None:
    """It lasts, and texts of every kind come in it."""
    texts = [moment.happening for moment in played.moments if isinstance(moment.happening, Says)]
    kinds = {
        heard.kind for moment in played.moments for one in moment.caused for heard in read_standing(one) or ()
    }
    assert (texts[-1].at - texts[0].at).days >= 8 * 7
    assert len(texts) > 1000
    assert {"above", "still above", "back below", "reminder", "told above", "told range", "unread"} <= kinds


def test_the_same_season_is_recounted_alike_from_memory(played: Played) -> None:
    """Without a change, the fortnight that the next tests change has no disagreement."""
    assert list(recount_again(_fortnight(played))) == []


def _show_denser(moment: Moment) -> Moment | None:
    shown = deepcopy(moment.shown)
    for one in shown.values():
        for level in one["levels"]:
            if level["density"]:
                level["density"] *= 1 + 1e-9
                return replace(moment, shown=shown)
    return None


def _show_another_standing(moment: Moment) -> Moment | None:
    shown = deepcopy(moment.shown)
    for one in shown.values():
        for level in one["levels"]:
            if level["standing"] == "below":
                level["standing"] = "in range"
                return replace(moment, shown=shown)
    return None


def _show_open_what_is_shut(moment: Moment) -> Moment | None:
    shown = deepcopy(moment.shown)
    for one in shown.values():
        if one["closed_until"] is not None:
            one["closed_until"] = None
            return replace(moment, shown=shown)
    return None


def _without(kind: str) -> Change:
    def drop(moment: Moment) -> Moment | None:
        for one in moment.caused:
            heard, kept = read_standing(one), read_keeping_out(one, moment.happening.at.year)
            if (heard and heard[0].kind == kind) or (kept and kept.kind == kind):
                return replace(moment, caused=tuple(each for each in moment.caused if each is not one))
        return None

    return drop


def _twice(kind: str) -> Change:
    def double(moment: Moment) -> Moment | None:
        for one in moment.caused:
            heard, kept = read_standing(one), read_keeping_out(one, moment.happening.at.year)
            if (heard and heard[0].kind == kind) or (kept and kept.kind == kind):
                return replace(moment, caused=(*moment.caused, one))
        return None

    return double


def _again(purpose: str) -> Change:
    def again(moment: Moment) -> Moment | None:
        got = [
            one
            for one in moment.caused
            if one.purpose == purpose or (purpose == "morning" and is_morning(one.text))
        ]
        later = replace(moment.happening, at=moment.happening.at + timedelta(minutes=10))
        return Moment(later, tuple(got), {}) if got else None

    return again


def _to_somebody_else(moment: Moment) -> Moment | None:
    for place, one in enumerate(moment.caused):
        if one.purpose == "alert":
            other = Caused("+12705550199", one.purpose, one.text)
            return replace(moment, caused=(*moment.caused[:place], other, *moment.caused[place + 1 :]))
    return None


def _reworded(purpose: str, old: str, new: str) -> Change:
    def reword(moment: Moment) -> Moment | None:
        for place, one in enumerate(moment.caused):
            if (
                one.purpose == purpose or (purpose == "morning" and is_morning(one.text))
            ) and old in one.text:
                other = Caused(one.to, one.purpose, one.text.replace(old, new, 1))
                return replace(moment, caused=(*moment.caused[:place], other, *moment.caused[place + 1 :]))
        return None

    return reword


CHANGES = {
    "a density is shown a billionth higher": _show_denser,
    "a standing is shown as in range": _show_another_standing,
    "a closed field is shown as open": _show_open_what_is_shut,
    "an alert is lost": _without("above"),
    "an alert comes twice": _twice("above"),
    "an alert goes to somebody else": _to_somebody_else,
    "a notice to a supervisor is lost": _without("told range"),
    "a reminder comes twice": _twice("reminder"),
    "a reminder is lost": _without("reminder"),
    "back below is lost": _without("back below"),
    "a keep-out is lost": _without("beside"),
    "a call for a missing OK is lost": _without("call"),
    "hours are over and nobody is told": _without("over"),
    "an alert prints another level": _reworded("alert", "level ", "level 1"),
    "a digest says another ratio": _reworded("digest", " x level", "1 x level"),
    "a digest leaves a closed field out": _reworded("digest", "KEEP OUT: ", "MISSING: "),
    "a digest says begun what is not": _reworded("digest", "not begun", "1 of 4"),
    "a digest calls another site close": _reworded(
        "digest", "CLOSE CALL: ", "CLOSE CALL: 999 lygus 3, level 3; "
    ),
    "a digest counts another text to be read by hand": _reworded(
        "digest", "READ BY HAND: 1", "READ BY HAND: 3"
    ),
    "a digest comes twice": _again("digest"),
    "a plan comes twice": _again("morning"),
    "a plan leaves a site out": _reworded("morning", " 585 ", " "),
    "a text comes that nobody can read": _reworded("notice", ":", " is well,"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_the_recount_sees_it_when(change: str, played: Played) -> None:
    """A check that cannot fail is worth nothing: one thing changed in a fortnight is a disagreement."""
    moments: list[Moment] = []
    for moment in _fortnight(played):
        changed = CHANGES[change](moment)
        if changed is None or changed.happening.at != moment.happening.at:
            moments.append(moment)
        if changed is not None:
            moments.append(changed)
        if changed is not None:
            break
    else:
        pytest.fail(f"nothing in the fortnight where {change}")
    assert list(recount_again(moments))


def _fortnight(played: Played) -> list[Moment]:
    start = played.moments[0].happening.at
    return [moment for moment in played.moments if (moment.happening.at - start).days < 14]
