"""Counts that were wrong and are put right later: what takes an alert back, and what makes a field cross after all."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from bot.rules import Method
from bot.whole_season.happening import AskedFor, Counted, Fixed, Moved
from bot.whole_season.keying import Keyed, sample_text, samples_text
from bot.whole_season.town import Expect, Part, Say, Walk, minutes
from bot.whole_season.visits import Counting, Visit

LEVEL_PER_FOOT = 3 / 5
"""Plant bugs a foot of row that are the level of the sheet in bloom."""

DAYS = ("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN")
DIAS = ("LUN", "MAR", "MIE", "JUE", "VIE", "SAB", "DOM")


@dataclass(slots=True)
class Mending:
    """Wrong counts that matter, and those that were found out a day later."""

    counting: Counting

    def matters(self, visit: Visit) -> tuple[int, int] | None:
        """Give a sample and how far it must be miskeyed for the field to stand on the other side of its level.

        Only where a field's one site alone decides, on the sheet; None where it would take too much.
        """
        field_ = self.counting.town.field_of(visit.site)
        if field_.several or visit.plan.method is not Method.BEAT_SHEET or visit.plan.stop is not None:
            return None
        if visit.stage is None or visit.stage.phase.name != "BLOOM":
            return None
        total = sum(one["LA"] + one["LN"] for one in visit.found.values())
        mark = -(-int(LEVEL_PER_FOOT * float(visit.plan.each.amount) * visit.plan.samples * 10) // 10)
        most = max(visit.found, key=lambda one: visit.found[one]["LN"])
        if mark * 0.5 <= total < mark and visit.found[most]["LN"] + mark - total < visit.plan.ask_above:
            return most, mark - total
        if mark <= total and total - mark + 1 <= visit.found[most]["LN"]:
            return most, mark - total - 1
        return None

    def shape_below(self, visit: Visit) -> tuple[int, int]:
        """Let a field stand a little below its level; give a sample and how far it must be miskeyed to cross."""
        mark = round(LEVEL_PER_FOOT * float(visit.plan.each.amount) * visit.plan.samples)
        numbers = list(visit.found)
        for place, number in enumerate(numbers):
            visit.found[number] = dict.fromkeys(visit.plan.codes, 0) | {
                "LA": 1,
                "LN": int(place < mark - 5 - len(numbers)),
            }
        return numbers[0], 6

    def shape_above(self, visit: Visit) -> tuple[int, int]:
        """Let a field stand at its level; give a sample and how far it must be miskeyed to hide that."""
        mark = round(LEVEL_PER_FOOT * float(visit.plan.each.amount) * visit.plan.samples)
        first, *others = visit.found
        for number in visit.found:
            visit.found[number] = dict.fromkeys(visit.plan.codes, 0) | {"LA": 1}
        for place in range(mark - len(visit.found) - 6):
            visit.found[others[place % len(others)]]["LN"] += 1
        visit.found[first]["LN"] = 7
        return first, -6

    def shape_both(self, visit: Visit) -> None:
        """Let both targets of the net stand above their levels."""
        for counts in visit.found.values():
            counts.update({"FA": 7, "LA": 4})

    def wrong_first(self, visit: Visit, sample: int, by: int) -> Walk:
        """Send a whole site with one sample wrong, and put it right when the card is looked at again."""
        town, right = self.counting.town, visit.found[sample]
        town.count("wrong count that crosses" if by > 0 else "wrong count that hides a crossing")
        wrong = {**visit.found, sample: {**right, "LN": right["LN"] + by}}
        yield from self.counting.send(visit, wrong)
        draw = town.stream("mending", visit.who)
        wait = minutes(draw.uniform(20, 80))
        if visit.late is not None:
            wait = visit.late + minutes(draw.uniform(30, 75))
        visit.late = None
        at = town.now + wait
        if by < 0:
            # after the quiet hours, so that what crosses is told at once
            at = max(at, town.at(visit.day, 8, 10))
        town.walk(at, self._fix(visit, sample, right))

    def _fix(self, visit: Visit, sample: int, right: Mapping[str, int]) -> Walk:
        self.counting.town.count("FIX that matters")
        spanish = self.counting.town.spanish(visit.who)
        word = "CAMBIA" if spanish else "FIX"
        prefix = ""
        if self.counting.town.today != visit.day:
            prefix = f"{(DIAS if spanish else DAYS)[visit.day.weekday()]} "
        text = f"{prefix}{visit.site} {word} {sample_text(sample, right, Keyed.CODES)}"
        yield Say(visit.who, text, (Fixed(visit.site, visit.day, sample, dict(right)),), Expect.TAKEN)

    def day_after(self, visit: Visit) -> None:
        """Find a wrong count on the card a day later, and put it right with the day in front."""
        town = self.counting.town
        draw = town.stream("day after", visit.who)
        sample = draw.choice(sorted(visit.taken))
        code = draw.choice(list(visit.plan.codes))
        right = dict(visit.found[sample])
        right[code] += draw.choice((1, 2, 4))
        town.count("FIX a day later")
        next_day = visit.day + timedelta(days=1)
        town.walk(town.at(next_day, 8, 30) + minutes(draw.uniform(0, 60)), self._fix(visit, sample, right))

    def to_the_wrong_site(self, visit: Visit, other: int) -> Part:
        """Text the first samples under another site's number, and move them."""
        c = self.counting
        first = {number: visit.found[number] for number in (1, 2)}
        full = {number: dict(counts) for number, counts in first.items()}
        means = (Counted(other, visit.day, visit.who, full),)
        yield Say(visit.who, f"{other} {samples_text(first, visit.keyed)}", means, Expect.TAKEN)
        c.known.add((visit.who, other, visit.day))
        yield c.pause(visit.who, 1, 4)
        word = "MUEVE" if c.town.spanish(visit.who) else "MOVE"
        asked = (AskedFor(other, visit.who),)
        yield Say(visit.who, f"{other} {word} {visit.site}", asked, Expect.ASKED)
        yield c.pause(visit.who, 0.3, 1)
        moved = (Moved(other, visit.site, visit.day, (1, 2)),)
        replies = yield Say(visit.who, c.yes(visit.who), moved, Expect.TAKEN)
        c.town.count("MOVE")
        c.took(visit, first, replies)
        return replies
