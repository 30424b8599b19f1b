"""Posting to the service in the background, again and again until it says that it has it."""

import json
import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from queue import SimpleQueue

import httpx

WORKERS = 8
FIRST_PAUSE_S = 0.2
LONGEST_PAUSE_S = 5.0
GIVE_UP_AFTER_S = 600.0
ANSWER_WITHIN_S = 10.0
FAREWELL_S = 0.5
JSON = {"Content-Type": "application/json"}


def is_loopback(url: str) -> bool:
    """Say whether a URL is plain HTTP on this machine, the only place that the stand-in posts to."""
    try:
        read = httpx.URL(url)
    except httpx.InvalidURL:
        return False
    return read.scheme == "http" and read.host in ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True)
class Post:
    """One JSON body to bring to a URL `copies` times. `settled` is told once: taken, or given up."""

    url: str
    body: Mapping[str, object]
    copies: int
    settled: Callable[[bool], None]


class Poster:
    """Threads that bring posts to their URLs. Posts of one lane arrive in order, lanes side by side.

    A post is repeated, with growing pauses, until it is answered 2xx; after ten minutes it is given up
    and the next of its lane is tried. `close` ends all of it, without waiting for posts under way.
    """

    def __init__(self) -> None:
        # The environment's proxies have no business between two processes of one machine.
        self._client = httpx.Client(timeout=ANSWER_WITHIN_S, trust_env=False)
        self._lanes: dict[str, deque[Post]] = {}
        self._lock = threading.Lock()
        self._ready: SimpleQueue[str | None] = SimpleQueue()
        self._closing = threading.Event()
        self._workers = [threading.Thread(target=self._work, daemon=True) for _ in range(WORKERS)]
        for worker in self._workers:
            worker.start()

    def post(self, lane: str, post: Post) -> None:
        """Put a post at the end of a lane."""
        with self._lock:
            waiting = self._lanes.setdefault(lane, deque())
            waiting.append(post)
            if len(waiting) == 1:
                self._ready.put(lane)

    def close(self) -> None:
        """Stop posting; what is still waiting is dropped."""
        self._closing.set()
        for _ in self._workers:
            self._ready.put(None)
        self._client.close()
        leave_at = time.monotonic() + FAREWELL_S
        for worker in self._workers:
            worker.join(timeout=max(0.0, leave_at - time.monotonic()))

    def _work(self) -> None:
        while (lane := self._ready.get()) is not None and not self._closing.is_set():
            with self._lock:
                post = self._lanes[lane][0]
            taken = all(self._bring(post) for _ in range(post.copies))
            if self._closing.is_set():
                return
            post.settled(taken)
            with self._lock:
                waiting = self._lanes[lane]
                waiting.popleft()
                # To the end of the line: one talkative phone leaves the workers to others too.
                if waiting:
                    self._ready.put(lane)
                else:
                    del self._lanes[lane]

    def _bring(self, post: Post) -> bool:
        give_up_at = time.monotonic() + GIVE_UP_AFTER_S
        pause = FIRST_PAUSE_S
        while not self._took(post):
            if time.monotonic() + pause > give_up_at or self._closing.wait(pause):
                return False
            pause = min(pause * 2, LONGEST_PAUSE_S)
        return True

    def _took(self, post: Post) -> bool:
        try:
            # In ASCII, so that a phone may send what UTF-8 cannot write.
            answer = self._client.post(post.url, content=json.dumps(post.body), headers=JSON)
        except (httpx.HTTPError, RuntimeError):
            # RuntimeError: the client was closed under a post that was under way.
            return False
        return answer.is_success
