"""What a study finds: a law that a text breaks, gathered so that the shortest texts of each law are kept."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

MOST_SHOWN = 5


@dataclass(frozen=True, slots=True)
class Broken:
    """A law, the text that breaks it, where it was said, and what came instead."""

    law: str
    text: str
    where: str
    came: str


@dataclass(slots=True)
class Gathered:
    """How often each law was broken, and its shortest texts."""

    times: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    shortest: dict[str, list[Broken]] = field(default_factory=lambda: defaultdict(list))

    def add(self, found: Iterable[Broken]) -> None:
        """Take findings in, one law's shortest and no text twice."""
        for one in found:
            self.times[one.law] += 1
            kept = self.shortest[one.law]
            if all(one.text != other.text for other in kept):
                kept.append(one)
                kept.sort(key=lambda broken: len(broken.text))
                del kept[MOST_SHOWN:]

    def merge(self, other: "Gathered") -> None:
        """Take in what another worker has gathered."""
        for law, times in other.times.items():
            kept = other.shortest[law]
            self.add(kept)
            self.times[law] += times - len(kept)
