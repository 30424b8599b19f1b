"""A scout at work in a field: what he sends and when, what goes wrong, and when he walks out."""

from dataclasses import dataclass, field

from bot.rules import Phase
from bot.whole_season.growers import Growers
from bot.whole_season.keying import Keyed
from bot.whole_season.mending import Mending
from bot.whole_season.rota import Rota
from bot.whole_season.slips import Slips
from bot.whole_season.town import Expect, Say, Town, Walk, minutes
from bot.whole_season.visits import Counting, Visit
from bot.whole_season.world import week_of

REASONS = ("rain", "lightning close", "mud to the knee", "out of daylight")
RAZONES = ("lluvia", "rayos cerca", "mucho lodo", "se hizo tarde")

COVERED = {25: (3, "tomas"), 43: (4, "pru"), 37: (8, "wade"), 21: (6, "corrine"), 65: (7, "wade")}
"""Fields that somebody else counts in a week, though nobody handed them over."""

EVENING_FIELD = 37
"""The field whose wrong count arrives late in an evening, and is put right in quiet hours."""

HIDING_FIELD = 25
"""The field that is above its level, which a wrong count hides until it is put right."""

BOTH_FIELD = 51
"""The field where both targets cross with one text."""

BOLLS_LOOKED_AT = (21, 32, 54)
"""Fields where bolls are looked at late in bloom."""


@dataclass(frozen=True, slots=True)
class Habit:
    """How a scout texts: his forms, how often a whole site goes in one text, minutes a sample, slips a site."""

    forms: tuple[Keyed, ...]
    batches: float
    pace: tuple[float, float]
    slips: float


@dataclass(slots=True)
class Fieldwork:
    """What every scout does at a site."""

    town: Town
    rota: Rota
    counting: Counting
    slips: Slips
    growers: Growers
    mending: Mending
    once: set[str] = field(default_factory=set)

    def first_time(self, key: str) -> bool:
        """Tell whether something happens for the first time."""
        new = key not in self.once
        self.once.add(key)
        return new

    def visit(self, visit: Visit, habit: Habit) -> Walk:
        """Count a site, with the slips that people make."""
        town, draw = self.town, self.town.stream("visits", visit.who)
        number = town.field_of(visit.site).number
        at_hand = visit.late is None and visit.sender == visit.who
        squaring = self.counting.is_squaring(visit)
        if squaring and (draw.random() < 0.25 or (not at_hand and draw.random() < 0.7)):
            yield from self.counting.squares(visit, asked=False)
            yield minutes(draw.uniform(1, 3))
        if at_hand and visit.plan.stop is None and draw.random() < 0.06 and number not in COVERED:
            yield from self._each(visit)
        if number == EVENING_FIELD and week_of(visit.day) >= 5 and self._evening(visit):
            yield from self.mending.wrong_first(visit, *self.mending.shape_below(visit))
            return
        if number == HIDING_FIELD and week_of(visit.day) >= 5 and at_hand and self.first_time("hiding"):
            yield minutes(30)
            yield from self.mending.wrong_first(visit, *self.mending.shape_above(visit))
            return
        if number == BOTH_FIELD and week_of(visit.day) == 2 and at_hand and visit.each is None:
            self.mending.shape_both(visit)
            yield minutes(25)
            yield from self.counting.send(visit, visit.found)
            return
        wrong = self.mending.matters(visit) if visit.each is None and visit.sender == visit.who else None
        if wrong is not None and self.town.count(f"chance to miskey {number}") % 2:
            yield minutes(draw.uniform(20, 40))
            if not self.must_leave(visit):
                yield from self.mending.wrong_first(visit, *wrong)
            return
        if visit.plan.stop is not None or (at_hand and draw.random() > habit.batches):
            yield from self._one_by_one(visit, habit)
        else:
            yield from self._in_batches(visit, habit)
        if town.is_shut(number) or not visit.taken:
            return
        yield from self._looks_round(visit)
        if at_hand and visit.each is None and visit.done and draw.random() < 0.05 and visit.day.weekday() < 4:
            self.mending.day_after(visit)

    def _evening(self, visit: Visit) -> bool:
        """Let a visit's text arrive shortly before the quiet hours, so that what is put right is heard of in them."""
        arrives = self.town.at(visit.day, 20, 35)
        if visit.sender != visit.who or not self.first_time("evening"):
            return False
        visit.late = arrives - self.town.now
        return True

    def _each(self, visit: Visit) -> Walk:
        """Take less in a sample than the plan has, and say so first."""
        planned = int(visit.plan.each.amount)
        if planned < 3:
            return
        visit.each = {25: 20, 20: 15}.get(planned, 2)
        word = "CADA" if self.town.spanish(visit.who) else "EACH"
        self.town.count("EACH")
        yield Say(visit.who, f"{visit.site} {word} {visit.each}", (), Expect.TAKEN)
        yield minutes(1)

    def _looks_round(self, visit: Visit) -> Walk:
        """Send what goes with the counts: squares where they are wanted, bolls and nodes late in the season."""
        draw = self.town.stream("looks", visit.who)
        number = self.town.field_of(visit.site).number
        if self.counting.wants_squares(visit):
            yield minutes(draw.uniform(3, 9))
            yield from self.counting.squares(visit, asked=True)
        stage = visit.stage
        if stage is None or stage.phase is not Phase.BLOOM or visit.sender != visit.who:
            return
        if (stage.week or 0) >= 4 and number in BOLLS_LOOKED_AT:
            yield minutes(draw.uniform(2, 5))
            yield from self.counting.hurt_bolls(visit)
        if (stage.week or 0) >= 4 and draw.random() < 0.35:
            yield minutes(draw.uniform(2, 5))
            word = "NAFB" if self.town.spanish(visit.who) else "NAWF"
            nodes = max(3, 9 - (stage.week or 0))
            plants = " ".join(str(nodes + draw.choice((-1, 0, 0, 1))) for _ in range(4))
            self.town.count("NAWF")
            yield Say(visit.who, f"{visit.site} {word} {plants}", (), Expect.ANYTHING, visit.late)

    def _in_batches(self, visit: Visit, habit: Habit) -> Walk:
        draw = self.town.stream("visits", visit.who)
        left = visit.left
        parts = 1 if visit.late is not None or draw.random() < 0.5 else 2
        size = -(-len(left) // parts)
        for start in range(0, len(left), size):
            numbers = left[start : start + size]
            yield minutes(len(numbers) * draw.uniform(*habit.pace))
            if self.must_leave(visit):
                yield from self._leave(visit)
                return
            yield from self.counting.send(visit, {one: visit.found[one] for one in numbers})

    def _one_by_one(self, visit: Visit, habit: Habit) -> Walk:
        draw = self.town.stream("visits", visit.who)
        slip_at = draw.randint(2, max(2, visit.plan.samples - 1)) if draw.random() < habit.slips else 0
        short_at = draw.randint(3, visit.plan.samples) if draw.random() < 0.15 else 0
        sits_down_at = draw.randint(2, visit.plan.samples) if draw.random() < 0.05 else 0
        other = self._sibling(visit)
        if other is not None and visit.each is None and draw.random() < 0.2:
            yield from self.mending.to_the_wrong_site(visit, other)
        while visit.left and not visit.done:
            number = visit.left[0]
            yield minutes(draw.uniform(*habit.pace))
            if number == sits_down_at:
                self.town.count("silence")
                yield minutes(100)
            if self.must_leave(visit):
                yield from self._leave(visit)
                return
            if number == short_at and len(visit.taken) >= 2 and visit.plan.stop is None:
                words = RAZONES if self.town.spanish(visit.who) else REASONS
                yield from self.counting.short(visit, draw.choice(words))
                return
            if number == slip_at and visit.each is None:
                slip_at = 0
                yield from self.slips.make(visit, number)
                continue
            yield from self.counting.send(visit, {number: visit.found[number]})

    def _sibling(self, visit: Visit) -> int | None:
        """Give another site of the field whose number may be keyed by mistake: nothing is open, nobody was there."""
        if self.counting.elsewhere(visit) or visit.plan.samples < 3:
            return None
        number = self.town.field_of(visit.site).number
        under = self.rota.passes.get(number)
        for one in self.town.field_of(visit.site).sites:
            fresh = under is None or one not in under.visited or under.visited[one] != visit.day
            if (
                one != visit.site
                and fresh
                and self.counting.untouched(visit, one)
                and one not in self.rota.handed
            ):
                return one
        return None

    def must_leave(self, visit: Visit) -> bool:
        """Tell whether the scout knows by now that nobody may be here; now and then he has not looked at his phone."""
        number = self.town.field_of(visit.site).number
        if not self.town.is_shut(number):
            return False
        careless = self.town.stream("careless", visit.who).random() < 0.5
        if visit.late is None and careless and self.first_time(f"careless {visit.site} {visit.day}"):
            self.town.count("counts from a closed field")
            return False
        return True

    def _leave(self, visit: Visit) -> Walk:
        """Walk out; a site that is begun is ended with what is in."""
        if visit.is_open:
            reason = "tuve que salir" if self.town.spanish(visit.who) else "had to leave"
            yield from self.counting.short(visit, reason)
