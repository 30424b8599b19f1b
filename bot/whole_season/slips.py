"""The slips that people make with cold thumbs, and what they do about what comes back.

Every kind comes round in turn, so that each is made several times in a season.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from bot.whole_season.happening import AskedFor, Counted, Fixed, TakenBack
from bot.whole_season.keying import Keyed, sample_text
from bot.whole_season.town import Expect, Say, Walk
from bot.whole_season.visits import Counting, Visit

SAME_KEYS = {
    "FA": ("FB", "FC"),
    "FN": ("FM", "EN", "DN"),
    "LA": ("LB", "LC"),
    "LN": ("LM", "KN", "LO"),
    "MP": ("NP", "MQ"),
}
"""Codes that nobody has, keyed for another: the wrong letter of a key, or the key next to it."""

Slip = Callable[["Slips", Visit, int], Walk]


@dataclass(slots=True)
class Slips:
    """Makes one slip after another."""

    counting: Counting
    turns: dict[str, int] = field(default_factory=dict)

    def make(self, visit: Visit, number: int) -> Walk:
        """Send one sample with a slip; in the end it is in as it was found, but for what the slip left."""
        names = [name for name in KINDS if FITS.get(name, _always)(self.counting, visit, number)]
        self.counting.town.stream("slips").shuffle(names)
        name = min(names, key=lambda one: self.turns.get(one, 0))
        self.turns[name] = self.turns.get(name, 0) + 1
        self.counting.town.count(f"slip: {name}")
        yield from KINDS[name](self, visit, number)

    def _say(self, visit: Visit, text: str, expect: Expect, asked: int | None = None) -> Walk:
        means = (AskedFor(asked, visit.who),) if asked is not None else ()
        yield Say(visit.who, text, means, expect)

    def unknown_code(self, visit: Visit, number: int) -> Walk:
        """Key a code that nobody has; the question shows the one that was meant."""
        counts, c = visit.found[number], self.counting
        draw = c.town.stream("slips", visit.who)
        code = draw.choice([one for one, count in counts.items() if count and one in SAME_KEYS])
        said = sample_text(number, counts, Keyed.CODES).replace(code, draw.choice(SAME_KEYS[code]))
        means = (AskedFor(visit.site, visit.who),)
        replies = yield Say(visit.who, f"{visit.site} {said}", means, Expect.ASKED)
        yield c.pause(visit.who, 0.3, 2)
        right = sample_text(number, counts, Keyed.CODES).split(" ", 1)[1]
        if f": {visit.site} {number} {right}. 2" in " ".join(replies):
            stored = (c.counted(visit, {number: counts}),)
            replies = yield Say(visit.who, c.yes(visit.who), stored, Expect.TAKEN)
            c.took(visit, {number: counts}, replies)
            return
        yield Say(visit.who, "2", ())
        yield c.pause(visit.who, 0.3, 1)
        yield from c.send(visit, {number: counts})

    def too_few(self, visit: Visit, number: int) -> Walk:
        """Leave a count out: refused whole."""
        counts = list(visit.found[number].values())[:-1]
        text = f"{visit.site} {number} {' '.join(map(str, counts))}"
        yield from self._say(visit, text, Expect.REFUSED)
        yield self.counting.pause(visit.who, 0.5, 2)
        yield from self.counting.send(visit, {number: visit.found[number]})

    def packed_short(self, visit: Visit, number: int) -> Walk:
        """Leave a digit out of a packed sample: refused whole."""
        digits = "".join(str(min(count, 9)) for count in visit.found[number].values())[:-1]
        yield from self._say(visit, f"{visit.site} {number} {digits}", Expect.REFUSED)
        yield self.counting.pause(visit.who, 0.5, 2)
        yield from self.counting.send(visit, {number: visit.found[number]})

    def doubled_key(self, visit: Visit, number: int) -> Walk:
        """Press a digit twice, so that the count is over what is ever found: asked, and not right."""
        counts = visit.found[number]
        code = max(counts, key=lambda one: counts[one])
        wrong = {**counts, code: int(f"{max(counts[code], 5)}{max(counts[code], 5)}")}
        yield from self._say(
            visit, f"{visit.site} {sample_text(number, wrong, Keyed.CODES)}", Expect.ASKED, visit.site
        )
        yield self.counting.pause(visit.who, 0.3, 2)
        yield Say(visit.who, "2", ())
        yield self.counting.pause(visit.who, 0.3, 1)
        yield from self.counting.send(visit, {number: counts})

    def same_id(self, visit: Visit, number: int) -> Walk:
        """The gateway hands a text over twice."""
        text = self.counting.words(visit, {number: visit.found[number]})
        yield from self.counting.send(visit, {number: visit.found[number]}, text)
        name = self.counting.town.last_id
        yield self.counting.pause(visit.who, 0.1, 0.4)
        yield Say(visit.who, text, (), id=name)

    def sent_twice(self, visit: Visit, number: int) -> Walk:
        """Send a sample again, unsure whether it went: the same counts change nothing."""
        yield from self.counting.send(visit, {number: visit.found[number]})
        yield self.counting.pause(visit.who, 1, 3)
        text = f"{visit.site} {sample_text(number, visit.found[number], visit.keyed)}"
        replies = yield Say(visit.who, text, ())
        self.counting.read(visit, replies)

    def fixed(self, visit: Visit, number: int) -> Walk:
        """Key a wrong count and put it right by FIX."""
        counts, c = visit.found[number], self.counting
        code = c.town.stream("slips", visit.who).choice(list(counts))
        yield from c.send(visit, {number: {**counts, code: counts[code] + 2}})
        yield c.pause(visit.who, 0.5, 4)
        word = "CAMBIA" if c.town.spanish(visit.who) else "FIX"
        text = f"{visit.site} {word} {sample_text(number, counts, visit.keyed)}"
        means = (Fixed(visit.site, visit.day, number, dict(counts)),)
        replies = yield Say(visit.who, text, means, Expect.TAKEN)
        c.took(visit, {number: counts}, replies)

    def undone(self, visit: Visit, number: int) -> Walk:
        """Send a sample, take it back, send it as it was."""
        counts, c = visit.found[number], self.counting
        code = c.town.stream("slips", visit.who).choice(list(counts))
        yield from c.send(visit, {number: {**counts, code: counts[code] + 1}})
        name = c.town.last_id
        yield c.pause(visit.who, 0.3, 2)
        word = "BORRA" if c.town.spanish(visit.who) else "UNDO"
        means = (TakenBack(name),)
        replies = yield Say(visit.who, f"{visit.site} {word}", means, Expect.TAKEN)
        visit.taken.discard(number)
        c.read(visit, replies)
        yield c.pause(visit.who, 0.5, 2)
        yield from c.send(visit, {number: counts})

    def lost(self, visit: Visit, number: int) -> Walk:
        """Drop a sheet: the sample is lost, and taken anew."""
        means = (Counted(visit.site, visit.day, visit.who, {number: None}, visit.each),)
        yield Say(visit.who, f"{visit.site} {number} X", means, Expect.TAKEN)
        yield self.counting.pause(visit.who, 2, 5)
        yield from self.counting.send(visit, {number: visit.found[number]})

    def not_counted(self, visit: Visit, number: int) -> Walk:
        """Leave a column out that could not be counted."""
        counts: dict[str, int | None] = dict(visit.found[number])
        code = self.counting.town.stream("slips", visit.who).choice(list(counts))
        counts[code] = None
        yield from self.counting.send(visit, {number: counts})

    def no_site(self, visit: Visit, number: int) -> Walk:
        """Forget the site's number: asked, with the site where he is."""
        counts, c = visit.found[number], self.counting
        text = sample_text(number, counts, Keyed.CODES)
        yield from self._say(visit, text, Expect.ASKED, visit.site)
        yield c.pause(visit.who, 0.3, 1)
        means = (c.counted(visit, {number: counts}),)
        replies = yield Say(visit.who, c.yes(visit.who), means, Expect.TAKEN)
        c.took(visit, {number: counts}, replies)

    def number_again(self, visit: Visit, number: int) -> Walk:
        """Key the number of the sample before: asked; what is in stays, and the sample goes under its own number."""
        counts, c = visit.found[number], self.counting
        before = max(one for one in visit.taken if one < number)
        yield from self._say(
            visit, f"{visit.site} {sample_text(before, counts, Keyed.CODES)}", Expect.ASKED, visit.site
        )
        yield c.pause(visit.who, 0.3, 1)
        yield Say(visit.who, "2", ())
        yield c.pause(visit.who, 0.3, 1)
        yield from c.send(visit, {number: counts})

    def replaced(self, visit: Visit, number: int) -> Walk:
        """Count a sample anew and send it again: asked, and said yes to."""
        c = self.counting
        yield from c.send(visit, {number: visit.found[number]})
        yield c.pause(visit.who, 1, 4)
        code = c.town.stream("slips", visit.who).choice(list(visit.found[number]))
        anew = {**visit.found[number], code: visit.found[number][code] + 1}
        yield from self._say(
            visit, f"{visit.site} {sample_text(number, anew, Keyed.CODES)}", Expect.ASKED, visit.site
        )
        yield c.pause(visit.who, 0.3, 1)
        means = (Fixed(visit.site, visit.day, number, dict(anew)),)
        replies = yield Say(visit.who, c.yes(visit.who), means, Expect.TAKEN)
        visit.found[number] = anew
        c.took(visit, {number: anew}, replies)

    def wrong_site(self, visit: Visit, number: int) -> Walk:
        """Key the number of another site of the field: asked, as this one is unfinished; no."""
        c = self.counting
        others = [one for one in c.town.field_of(visit.site).sites if one != visit.site]
        other = next(one for one in others if c.untouched(visit, one))
        counts = visit.found[number]
        yield from self._say(
            visit, f"{other} {sample_text(number, counts, Keyed.CODES)}", Expect.ASKED, other
        )
        yield c.pause(visit.who, 0.3, 1)
        yield Say(visit.who, "2", ())
        yield c.pause(visit.who, 0.3, 1)
        yield from c.send(visit, {number: counts})

    def no_number(self, visit: Visit, number: int) -> Walk:
        """Leave the count after a code out: refused."""
        code = visit.plan.codes[0]
        yield from self._say(visit, f"{visit.site} {number} {code}", Expect.REFUSED)
        yield self.counting.pause(visit.who, 0.5, 2)
        yield from self.counting.send(visit, {number: visit.found[number]})

    def wrong_sum(self, visit: Visit, number: int) -> Walk:
        """Add up wrongly: with a control total that does not hold nothing is stored."""
        counts, c = visit.found[number], self.counting
        said = f"{visit.site} {sample_text(number, counts, visit.keyed)}"
        yield from self._say(visit, f"{said} T{sum(counts.values()) + 1}", Expect.REFUSED)
        yield c.pause(visit.who, 0.5, 2)
        yield from c.send(visit, {number: counts}, f"{said} T{sum(counts.values())}")

    def no_such_site(self, visit: Visit, number: int) -> Walk:
        """Key a number that is no site."""
        yield from self._say(
            visit, f"99 {sample_text(number, visit.found[number], visit.keyed)}", Expect.REFUSED
        )
        yield self.counting.pause(visit.who, 0.5, 2)
        yield from self.counting.send(visit, {number: visit.found[number]})

    def extra(self, visit: Visit, number: int) -> Walk:
        """Find a stink bug, which has no column on the card: kept all the same."""
        counts = {**visit.found[number], "SB": 1}
        found = {code: count for code, count in counts.items() if count}
        said = " ".join(f"{code}{count}" for code, count in found.items())
        yield from self.counting.send(visit, {number: counts}, f"{visit.site} {number} {said}")


def _always(_counting: Counting, _visit: Visit, _number: int) -> bool:
    return True


def _begun(_counting: Counting, visit: Visit, number: int) -> bool:
    return bool(visit.taken) and number > 1


def _again(_counting: Counting, visit: Visit, number: int) -> bool:
    before = [one for one in visit.taken if one < number]
    return (
        bool(before) and visit.found[max(before)] != visit.found[number] and any(visit.found[number].values())
    )


def _has_code(_counting: Counting, visit: Visit, number: int) -> bool:
    return any(count and code in SAME_KEYS for code, count in visit.found[number].items())


def _here_alone(counting: Counting, visit: Visit, number: int) -> bool:
    opened = [one for one in counting.today[(visit.who, visit.day)] if one.is_open]
    return opened == [visit] and any(visit.found[number].values())


def _has_neighbour(counting: Counting, visit: Visit, number: int) -> bool:
    sites = counting.town.field_of(visit.site).sites
    free = any(one != visit.site and counting.untouched(visit, one) for one in sites)
    return free and visit.is_open and not visit.sure and any(visit.found[number].values())


def _fixed_plan(_counting: Counting, visit: Visit, _number: int) -> bool:
    return visit.plan.stop is None


KINDS: dict[str, Slip] = {
    "unknown code": Slips.unknown_code,
    "too few counts": Slips.too_few,
    "a digit missing": Slips.packed_short,
    "a key pressed twice": Slips.doubled_key,
    "gateway id again": Slips.same_id,
    "sent twice": Slips.sent_twice,
    "FIX": Slips.fixed,
    "UNDO": Slips.undone,
    "sample lost": Slips.lost,
    "column not counted": Slips.not_counted,
    "site forgotten": Slips.no_site,
    "number again": Slips.number_again,
    "sample replaced": Slips.replaced,
    "wrong site": Slips.wrong_site,
    "code without a number": Slips.no_number,
    "wrong sum": Slips.wrong_sum,
    "no such site": Slips.no_such_site,
    "extra": Slips.extra,
}

FITS: dict[str, Callable[[Counting, Visit, int], bool]] = {
    "unknown code": _has_code,
    "UNDO": _begun,
    "FIX": _begun,
    "site forgotten": _here_alone,
    "number again": _again,
    "sample replaced": _fixed_plan,
    "wrong site": _has_neighbour,
}
"""What must hold for a slip to be made; the others can always be."""
