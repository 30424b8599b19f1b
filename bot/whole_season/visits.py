"""A scout at a site: samples drawn, keyed and texted, what is asked answered, squares sent when they are wanted."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.rules import Phase, Plan, Stage
from bot.whole_season.happening import AskedFor, Counted, LeftShort, Meaning, Shared
from bot.whole_season.keying import Keyed, Sheet, samples_text, unbroken_text
from bot.whole_season.rota import Rota
from bot.whole_season.town import Expect, Part, Say, Town, minutes

SURE = ("FOR SURE", "YA SEGURO")
DONE = ("DONE", "LISTO")
SQUARES_WANTED = ("SEND SQUARES", "MANDE CUADROS")
KEEP_OUT = ("KEEP OUT", "NO ENTRE")


@dataclass(slots=True)
class Visit:
    """One site on one day, as its scout has it before his eyes."""

    who: str
    site: int
    day: date
    plan: Plan
    stage: Stage | None
    keyed: Keyed
    found: dict[int, dict[str, int]]
    late: timedelta | None = None
    each: int | None = None
    taken: set[int] = field(default_factory=set)
    sure: bool = False
    done: bool = False
    ended: bool = False
    squares_sent: bool = False
    last: str = ""
    sender: str = ""

    def __post_init__(self) -> None:
        self.sender = self.sender or self.who

    @property
    def left(self) -> list[int]:
        """Give the samples that are not in."""
        return [number for number in self.found if number not in self.taken]

    @property
    def is_open(self) -> bool:
        """Tell whether the site is begun and not finished."""
        return bool(self.taken) and not (self.done or self.ended)


@dataclass(slots=True)
class Counting:
    """What every visit has in common: the town, the rota, and each scout's sites of the day."""

    town: Town
    rota: Rota
    today: dict[tuple[str, date], list[Visit]] = field(default_factory=dict)
    known: set[tuple[str, int, date]] = field(default_factory=set)

    def visit(self, who: str, site: int, day: date, keyed: Keyed, late: timedelta | None = None) -> Visit:
        """Begin to look at a site: draw what stands there."""
        number = self.town.field_of(site).number
        plan, stage = self.rota.plan(number, day), self.rota.stage(number, day)
        assert plan is not None  # noqa: S101  nobody is sent where the plan is not known
        draw = self.town.stream("insects", site, day)
        world = self.town.world
        found = {one: world.sample(number, plan, stage, day, draw) for one in range(1, plan.samples + 1)}
        if late is not None:
            # nobody is there to answer what a text of hours ago makes Rowfoot ask
            found = {
                one: {code: min(n, plan.ask_above) for code, n in counts.items()}
                for one, counts in found.items()
            }
        visit = Visit(who, site, day, plan, stage, keyed, found, late)
        self.today.setdefault((who, day), []).append(visit)
        return visit

    def elsewhere(self, visit: Visit) -> bool:
        """Tell whether Rowfoot asks whether the scout is here: another site of his is open and not certain."""
        if visit.taken or (visit.who, visit.site, visit.day) in self.known:
            return False
        others = self.today[(visit.who, visit.day)]
        return any(one.site != visit.site and one.is_open and not one.sure for one in others)

    def untouched(self, visit: Visit, site: int) -> bool:
        """Tell whether a scout has counted nothing at another site on a visit's day."""
        return (visit.who, site, visit.day) not in self.known

    def pause(self, who: str, least: float, most: float) -> timedelta:
        """Draw how long somebody takes."""
        return minutes(self.town.stream("pauses", who).uniform(least, most))

    def yes(self, who: str) -> str:
        """Give how somebody says yes."""
        words = ("1", "1", "1", "SI") if self.town.spanish(who) else ("1", "1", "1", "yes")
        return self.town.stream("words", who).choice(words)

    def counted(self, visit: Visit, samples: Mapping[int, Sheet | None]) -> Counted:
        """Give what a text puts in, in full."""
        full = {number: dict(counts) if counts is not None else None for number, counts in samples.items()}
        return Counted(visit.site, visit.day, visit.who, full, visit.each)

    def words(self, visit: Visit, samples: Mapping[int, Sheet]) -> str:
        """Key samples as this scout does."""
        draw = self.town.stream("keys", visit.who)
        unbroken = unbroken_text(samples, visit.keyed) if draw.random() < 0.5 else None
        said = unbroken or samples_text(samples, visit.keyed)
        if (
            len(samples) > 1
            and draw.random() < 0.15
            and all(None not in one.values() for one in samples.values())
        ):
            said = f"{said} T{sum(count or 0 for one in samples.values() for count in one.values())}"
        return f"{self.front(visit)}{visit.site} {said}"

    def front(self, visit: Visit) -> str:
        """Give what goes before a text: whose counts a leader enters."""
        if visit.sender == visit.who:
            return ""
        word = "POR" if self.town.spanish(visit.sender) else "BY"
        return f"{word} {self.town.person(visit.who).first_name.upper()} "

    def send(self, visit: Visit, samples: Mapping[int, Sheet], text: str | None = None) -> Part:
        """Text samples as they are, and answer yes where Rowfoot asks about what is right."""
        said = text or self.words(visit, samples)
        limit = visit.plan.ask_above
        over = {
            number: counts
            for number, counts in samples.items()
            if any((count or 0) > limit for count in counts.values())
        }
        good = {number: counts for number, counts in samples.items() if number not in over}
        waiting: Mapping[int, Sheet] = samples if self.elsewhere(visit) else over
        means: tuple[Meaning, ...] = (self.counted(visit, samples),)
        if waiting:
            stored = () if waiting is samples or not good else (self.counted(visit, good),)
            means = (*stored, AskedFor(visit.site, visit.sender))
        expect = Expect.ANYTHING if visit.late else Expect.ASKED if waiting else Expect.TAKEN
        replies = yield Say(visit.sender, said, means, expect, visit.late)
        if waiting:
            self.town.count("elsewhere" if waiting is samples else "over the limit")
            yield self.pause(visit.who, 0.3, 2)
            means = (self.counted(visit, waiting),)
            replies = yield Say(visit.sender, self.yes(visit.sender), means, Expect.TAKEN)
        self.took(visit, samples, replies)
        return replies

    def took(self, visit: Visit, samples: Mapping[int, Sheet], replies: object) -> None:
        """Note that samples are in, and what the reply says of the site."""
        number = self.town.field_of(visit.site).number
        self.rota.begin(number, visit.site, visit.day, visit.plan)
        visit.taken |= set(samples)
        self.known.add((visit.who, visit.site, visit.day))
        self.read(visit, replies)
        if not visit.left:
            visit.done = True
        if visit.done:
            self.rota.end(number, visit.site)

    def read(self, visit: Visit, replies: object) -> None:
        """Read what came back, as a scout does in the row."""
        visit.last = " ".join(map(str, replies)) if isinstance(replies, list | tuple) else ""
        if visit.last:
            visit.sure = any(word in visit.last for word in SURE)
            if visit.plan.stop is not None:
                visit.done = any(word in visit.last for word in DONE)

    def squares(self, visit: Visit, *, asked: bool) -> Part:
        """Text how many of 100 squares are still on, once a day."""
        visit.squares_sent = True
        field_ = self.town.field_of(visit.site)
        draw = self.town.stream("squares", visit.site, visit.day)
        on = max(55, self.town.world.squares(field_.number, visit.day, draw))
        word = draw.choice(("CU", "CUADROS")) if self.town.spanish(visit.who) else "SQ"
        if (
            not asked
            and visit.late is None
            and on > 55
            and self.town.stream("turned", visit.who).random() < 0.12
        ):
            self.town.count("share turned round")
            text = f"{self.front(visit)}{visit.site} {word} {100 - on} 100"
            yield Say(visit.sender, text, (AskedFor(visit.site, visit.sender),), Expect.ASKED)
            yield self.pause(visit.who, 0.5, 2)
            yield Say(visit.sender, "2", ())
            yield self.pause(visit.who, 0.5, 2)
        shared = Shared(visit.site, visit.day, "SQ", on, 100)
        self.town.count("SQ")
        replies = yield Say(
            visit.sender,
            f"{self.front(visit)}{visit.site} {word} {on} 100",
            (shared,),
            Expect.ANYTHING,
            visit.late,
        )
        return replies

    def hurt_bolls(self, visit: Visit) -> Part:
        """Text how many of 25 bolls are hurt."""
        field_ = self.town.field_of(visit.site)
        draw = self.town.stream("bolls", visit.site, visit.day)
        hurt = min(12, self.town.world.hurt_bolls(field_.number, visit.day, draw))
        shared = Shared(visit.site, visit.day, "BH", hurt, 25)
        self.town.count("BH")
        replies = yield Say(
            visit.sender,
            f"{self.front(visit)}{visit.site} BH {hurt} 25",
            (shared,),
            Expect.ANYTHING,
            visit.late,
        )
        return replies

    def wants_squares(self, visit: Visit) -> bool:
        """Tell whether the last reply asks for squares."""
        return not visit.squares_sent and any(word in visit.last for word in SQUARES_WANTED)

    def is_squaring(self, visit: Visit) -> bool:
        """Tell whether a field is in squaring."""
        return visit.stage is not None and visit.stage.phase is Phase.SQUARING

    def short(self, visit: Visit, reason: str) -> Part:
        """Leave a site unfinished."""
        word = "CORTA" if self.town.spanish(visit.who) else "SHORT"
        means = (LeftShort(visit.site, visit.day, reason),)
        visit.ended = True
        self.rota.end(self.town.field_of(visit.site).number, visit.site)
        self.town.count("SHORT")
        replies = yield Say(
            visit.sender,
            f"{self.front(visit)}{visit.site} {word} {reason}",
            means,
            Expect.ANYTHING,
            visit.late,
        )
        return replies
