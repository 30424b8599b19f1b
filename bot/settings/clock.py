"""Where `now` comes from: the system, or a small file by which the demo moves its invented day on."""

import json
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

Clock = Callable[[], datetime]
"""Gives the time now, in UTC."""


def clock_from(path: Path | None) -> Clock:
    """Give the system's clock, or one that runs on from the time that a file shows.

    The file holds `{"shown": ISO time with offset, "since": Unix seconds}`: at `since` the clock showed
    `shown`, and it has run since. Every reading reads the file again, so that one process can move the
    clock of others.
    """
    if path is None:
        return lambda: datetime.now(UTC)
    return lambda: _told(path)


def _told(path: Path) -> datetime:
    told = json.loads(path.read_text(encoding="utf-8"))
    ran = timedelta(seconds=max(0.0, time.time() - told["since"]))
    return datetime.fromisoformat(told["shown"]).astimezone(UTC) + ran


def tell_clock(path: Path, shown: datetime) -> None:
    """Set the clock that a file shows; readers see the old time or the new one, never half of it."""
    fresh = path.with_suffix(".new")
    fresh.write_text(json.dumps({"shown": shown.isoformat(), "since": time.time()}), encoding="utf-8")
    fresh.replace(path)
