"""The clock's own thread: short ticks; what is due stands in the tables, so a restart forgets nothing."""

import logging
import threading
from collections.abc import Callable

from apscheduler.schedulers.background import BackgroundScheduler

log = logging.getLogger(__name__)

TICK_S = 2.0
LOOK_AGAIN_S = 1.0


class Schedule:
    """Runs a step whenever it is woken or a moment has passed, and another with the clock's ticks."""

    def __init__(
        self, tick: Callable[[], None], loops: dict[str, Callable[[], bool]], tick_s: float = TICK_S
    ) -> None:
        """Prepare; nothing runs before `start`. Each of `loops` says whether it found work."""
        self._scheduler = BackgroundScheduler(timezone="UTC")
        self._scheduler.add_job(
            tick, "interval", seconds=tick_s, max_instances=1, coalesce=True, misfire_grace_time=None
        )
        self._stopping = threading.Event()
        self._wakes = {name: threading.Event() for name in loops}
        self._threads = [
            threading.Thread(target=self._loop, args=(name, step), name=name, daemon=True)
            for name, step in loops.items()
        ]

    def start(self) -> None:
        """Begin ticking and looping."""
        self._scheduler.start()
        for thread in self._threads:
            thread.start()

    def wake(self) -> None:
        """Let every loop look for work now."""
        for event in self._wakes.values():
            event.set()

    def stop(self) -> None:
        """Stop after the steps that run now."""
        self._stopping.set()
        self.wake()
        if not self._scheduler.running:
            return
        self._scheduler.shutdown(wait=True)
        for thread in self._threads:
            thread.join()

    def _loop(self, name: str, step: Callable[[], bool]) -> None:
        event = self._wakes[name]
        while not self._stopping.is_set():
            event.clear()
            try:
                found = step()
            except Exception:
                log.exception("%s failed; it looks again", name)
                found = False
            if found:
                for other in self._wakes.values():
                    if other is not event:
                        other.set()
                continue
            event.wait(LOOK_AGAIN_S)


__all__ = ["Schedule"]
