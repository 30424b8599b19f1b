"""Samples and totals as phones send them: built from their values, said plainly, and read as they were sent."""

from dataclasses import dataclass, replace

from hypothesis import given
from hypothesis import strategies as st

from parsing import TOTALS, Card, Counts, Fix, Form, Ground, Sample, ShareFound, read, shipped_words

SHARES = ("SQ", "BH", "DS")
CODES = ("FA", "FN", "LA", "LN", "MP", "BE", "HC", "AR", "BW", "SB", "CB", "UK")
SITE = 121
LEAST_PACKED = 3


@dataclass(frozen=True, slots=True)
class Sent:
    """Samples of one site as a phone could have sent them, and the card there."""

    card: Card
    samples: tuple[Sample, ...]

    @property
    def ground(self) -> Ground:
        """What they are read against: a season of one site."""
        cards = {SITE: self.card}
        return Ground(shipped_words(), cards, {}, frozenset(CODES), frozenset(SHARES), self.card.samples)


@st.composite
def cards(draw: st.DrawFn) -> Card:
    codes = draw(st.lists(st.sampled_from(CODES), min_size=1, max_size=8, unique=True))
    return Card(tuple(codes), draw(st.integers(1, 25)), draw(st.integers(5, 500)))


counts = st.one_of(st.just(0), st.integers(0, 9), st.integers(0, 300))


@st.composite
def shares_found(draw: st.DrawFn, least: int = 0) -> tuple[ShareFound, ...]:
    """Shares looked at at one stop, none of them twice."""
    codes = draw(st.lists(st.sampled_from(SHARES), min_size=least, max_size=3, unique=True))
    found = []
    for code in codes:
        of = draw(st.integers(1, 300))
        found.append(ShareFound(code, draw(st.integers(0, of)), of))
    return tuple(found)


@st.composite
def samples_of(draw: st.DrawFn, card: Card, number: int | None) -> Sample:
    """One sample in a form that its counts can be sent in, with shares or without, or shares alone."""
    if number is not None and draw(st.integers(0, 5)) == 0:
        return Sample(number, Form.SHARES, shares=draw(shares_found(least=1)))
    counted = draw(counted_samples(card, number))
    return counted if counted.lost else replace(counted, shares=draw(shares_found()))


@st.composite
def counted_samples(draw: st.DrawFn, card: Card, number: int | None) -> Sample:
    """One sample in a form that its counts can be sent in."""
    forms = [Form.CODED, Form.NOTHING]
    if number is not None:
        forms += [Form.LOST, Form.DIGITS] + [Form.PACKED] * (len(card.codes) >= LEAST_PACKED)
    form = draw(st.sampled_from(forms))
    if form is Form.LOST:
        return Sample(number, form)
    if form is Form.NOTHING:
        return Sample(number, form, tuple((code, 0) for code in card.codes))
    if form is Form.PACKED:
        return Sample(number, form, tuple((code, draw(st.integers(0, 9))) for code in card.codes))
    counted = counts if number is None else st.one_of(st.none(), counts, counts)
    said = tuple((code, draw(counted)) for code in card.codes)
    beside = [code for code in CODES if code not in card.codes]
    extras: tuple[tuple[str, int], ...] = ()
    if form is Form.CODED and beside:
        extras = tuple(draw(st.dictionaries(st.sampled_from(beside), st.integers(1, 30), max_size=2)).items())
    sample = Sample(number, form, said, extras)
    return (
        sample
        if can_be_said(sample)
        else Sample(number, Form.NOTHING, tuple((code, 0) for code in card.codes))
    )


def can_be_said(sample: Sample) -> bool:
    """Tell whether a text says these counts in this form and nothing else by it.

    Nothing found is `0` and every column X is a lost sample, whatever form they were meant in; digits whose
    every second number is 0 or could be packed may be pairs too, and are asked.
    """
    found = [count for _, count in sample.counts]
    if all(count is None for count in found) or (not any(found) and None not in found and not sample.extras):
        return False
    if sample.form is Form.CODED:
        return True
    seconds = [str(count) for count in found[::2]]
    return len(found) % 2 == 0 or not all(said == "0" or len(said) == len(found) for said in seconds)


@st.composite
def sent(draw: st.DrawFn) -> Sent:
    """One sample, with its number or the next, or several in any order."""
    card = draw(cards())
    numbers: list[int | None] = list(
        draw(st.lists(st.integers(1, card.samples), min_size=1, max_size=6, unique=True))
    )
    if draw(st.booleans()):
        numbers.sort(key=lambda number: number or 0)
    if len(numbers) == 1 and draw(st.booleans()):
        numbers = [None]
    return Sent(card, tuple(draw(samples_of(card, number)) for number in numbers))


@dataclass(frozen=True, slots=True)
class SentSums:
    """Sums over several samples of one site as a phone could have sent them, and the card there."""

    card: Card
    sums: Sample

    @property
    def ground(self) -> Ground:
        """What they are read against."""
        return Sent(self.card, ()).ground


@st.composite
def sums_sent(draw: st.DrawFn) -> SentSums:
    """Totals in codes, in digits, or of nothing found; never packed."""
    card = draw(cards())
    covers = draw(st.integers(1, card.samples))
    form = draw(st.sampled_from([Form.CODED, Form.DIGITS, Form.NOTHING]))
    counted = tuple((code, draw(st.one_of(st.none(), st.integers(0, 9999)))) for code in card.codes)
    beside = [code for code in CODES if code not in card.codes]
    extras: tuple[tuple[str, int], ...] = ()
    if form is Form.CODED and beside:
        extras = tuple(
            draw(st.dictionaries(st.sampled_from(beside), st.integers(1, 300), max_size=2)).items()
        )
    found = [count for _, count in counted]
    unsaid = all(count is None for count in found) or (not any(found) and None not in found and not extras)
    if form is Form.NOTHING or unsaid:
        nothing = tuple((code, 0) for code in card.codes)
        return SentSums(card, Sample(TOTALS, Form.NOTHING, nothing, covers=covers))
    return SentSums(card, Sample(TOTALS, form, counted, extras, covers=covers))


def plainly_said(sample: Sample) -> str:
    """Give a sample as a text, written apart from the echo: what the tests hold it to."""
    number = [] if sample.number is None else [str(sample.number)]
    if sample.covers:
        number = ["TOTAL", str(sample.covers)]
    said = ["X" if count is None else str(count) for _, count in sample.counts]
    match sample.form:
        case Form.LOST:
            words = ["X"]
        case Form.NOTHING:
            words = ["0"]
        case Form.PACKED:
            words = ["".join(said)]
        case Form.DIGITS:
            words = said
        case Form.CODED:
            words = [f"{code}{count}" for (code, _), count in zip(sample.counts, said, strict=True)]
            words += [f"{code}{count}" for code, count in sample.extras]
        case Form.SHARES:
            words = []
    shares = [f"{share.code} {share.n} {share.of}" for share in sample.shares]
    return " ".join([*number, *words, *shares])


def plain_text(samples: tuple[Sample, ...], word: str = "") -> str:
    return f"{SITE} {word}" + " / ".join(plainly_said(sample) for sample in samples)


@given(sent())
def test_samples_with_breaks_are_read_as_they_were_sent(said: Sent) -> None:
    assert read(plain_text(said.samples), said.ground) == Counts(SITE, said.samples)


@given(sums_sent())
def test_totals_are_read_as_they_were_sent(said: SentSums) -> None:
    assert read(plain_text((said.sums,)), said.ground) == Counts(SITE, (said.sums,))


@given(sent())
def test_a_correction_is_read_as_it_was_sent(said: Sent) -> None:
    if said.samples[0].number is None:
        return

    assert read(plain_text(said.samples, "FIX "), said.ground) == Fix(SITE, said.samples)
