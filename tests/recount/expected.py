"""What must come, held against what came."""

from dataclasses import dataclass
from fractions import Fraction

from bot.whole_season.happening import Caused
from tests.recount.heard import Heard, fits, read_standing


@dataclass(frozen=True, slots=True)
class Expected:
    """A text of one target that must come: to whom, which kind, which figures (None: any)."""

    to: str
    kind: str
    field: int
    target: str
    density: Fraction | None = None
    level: str | None = None
    names: tuple[str, ...] | None = None

    def key(self) -> tuple[str, str, int, str]:
        """Give what must be the same in the text."""
        return (self.to, self.kind, self.field, self.target)

    def meets(self, heard: Heard) -> str | None:
        """Say what is wrong with a text of this key; None where nothing is."""
        if not fits(heard.density, self.density):
            return f"prints {heard.density}, it is {float(self.density or 0):.6g}"
        if heard.level is not None and self.level is not None and heard.level != self.level:
            return f"prints level {heard.level}, it is {self.level}"
        if self.names is not None and set(heard.names) != set(self.names):
            return f"names {', '.join(heard.names) or 'nobody'}, not {', '.join(self.names) or 'nobody'}"
        return None


def unmet(expected: list[Expected], caused: list[Caused]) -> list[str]:
    """Give what was expected and did not come, what came and was not expected, and what came with wrong figures."""
    lines = []
    open_ = list(expected)
    for one in (heard for text in caused for heard in read_standing(text) or ()):
        key = (one.to, one.kind, one.field, one.target)
        met = next((each for each in open_ if each.key() == key), None)
        if met is None:
            lines.append(f"not expected: {one.kind} of {one.field} {one.target} to {one.to}: {one.text}")
            continue
        open_.remove(met)
        wrong = met.meets(one)
        if wrong is not None:
            lines.append(f"{one.kind} of {one.field} {one.target} to {one.to} {wrong}: {one.text}")
    lines += [
        f"missing: {one.kind} of {one.field} {one.target} to {one.to}"
        + ("" if one.density is None else f", {float(one.density):.6g} at level {one.level}")
        for one in open_
    ]
    return lines
