"""The digest as a letter: what the texts say, whole, and one table of the sites. Plain text and HTML are made of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from bot.digests.account import Account, account_of
from bot.digests.texts import digest_sections
from bot.field_book import FieldBook, FieldView, SiteView
from bot.replies import (
    Speech,
    capital,
    density_words,
    is_close_call,
    level_words,
    percent_words,
    standing_words,
)
from bot.rules import Field, FieldFigures, FieldState, SiteFigures, Standing, VisitEnd
from storage import visit_on


class Tone(StrEnum):
    """How much a line asks for the eye."""

    ACT = "act"
    LOOK = "look"
    PLAIN = "plain"


TONES = {
    "above": Tone.ACT,
    "shut": Tone.ACT,
    "waits": Tone.LOOK,
    "in_range": Tone.LOOK,
    "close_call": Tone.LOOK,
}
STANDING_TONES = {Standing.ABOVE: Tone.ACT, Standing.IN_RANGE: Tone.LOOK}


@dataclass(frozen=True, slots=True)
class Part:
    """Some sentences, under a heading or under none."""

    heading: str | None
    items: tuple[str, ...]
    tone: Tone


@dataclass(frozen=True, slots=True)
class FigureLine:
    """One figure of a site: what was counted and per what, the level in force, where it stands."""

    count: str
    per: str
    level: str
    standing: str
    tone: Tone


@dataclass(frozen=True, slots=True)
class SiteLine:
    """One row of the table: a site, or the mean of a field's sites; how far it is, and its figures."""

    site: str
    state: str
    figures: tuple[FigureLine, ...]


@dataclass(frozen=True, slots=True)
class FieldBlock:
    """A field in the table, with its sites."""

    title: str
    lines: tuple[SiteLine, ...]


@dataclass(frozen=True, slots=True)
class Letter:
    """A day's digest in words; `columns` head the table of `sites_heading`: site, count, level, standing."""

    language: str
    subject: str
    season: str
    day: str
    as_of: str
    parts: tuple[Part, ...]
    sites_heading: str
    columns: tuple[str, str, str, str]
    fields: tuple[FieldBlock, ...]
    foot: tuple[str, ...]


def digest_letter(book: FieldBook, say: Speech, fields: Sequence[Field]) -> Letter:
    """Give the digest of some fields as of now, whole, most urgent first. Every figure is that of the texts."""
    say = say.written()
    account = account_of(book, fields)
    parts = tuple(_parts(book, say, account))
    season = book.season.name
    return Letter(
        language=say.language,
        subject=_subject(book, say, account),
        season=season,
        day=capital(say.whole_date(account.day)),
        as_of=say.say("mail.as_of", time=say.clock(book.local(book.now))),
        parts=parts or (Part(None, (say.say("digest.nothing"),), Tone.PLAIN),),
        sites_heading=say.say("mail.sites"),
        columns=(
            say.say("mail.site"),
            say.say("mail.count"),
            say.say("mail.level"),
            say.say("mail.standing"),
        ),
        fields=tuple(_blocks(book, say, account)),
        foot=(
            say.say("mail.counts_only"),
            say.say("mail.why", season=season, contact=book.season.contact),
        ),
    )


def _subject(book: FieldBook, say: Speech, account: Account) -> str:
    """Give the subject; it names the fields above, as a phone shows no more of a mail than that."""
    day = say.weekday_date(account.day)
    above = [
        str(view.field.number)
        for view in account.views
        if view.last_seen == account.day
        and any(view.standing.told(one.target) is Standing.ABOVE for one in view.standing.figures)
    ]
    if not above:
        return say.say("mail.subject", season=book.season.name, day=day)
    return say.say("mail.subject_above", season=book.season.name, day=day, fields=say.names(above))


def _parts(book: FieldBook, say: Speech, account: Account) -> Iterator[Part]:
    for section in digest_sections(book, say, account):
        if not section.items:
            continue
        items = tuple(capital(item) for item in section.items)
        heading = _heading(say, section.name) if section.headed else None
        yield Part(heading, items, TONES.get(section.name, Tone.PLAIN))


def _heading(say: Speech, name: str) -> str:
    """Give the heading of a part: the letter's own, else the texts' without its colon."""
    if say.has(f"mail.{name}"):
        return say.say(f"mail.{name}")
    return say.say(f"digest.{name}", items="").rstrip(": ")


def _blocks(book: FieldBook, say: Speech, account: Account) -> Iterator[FieldBlock]:
    """Give the fields of which a site was sampled today or was to be."""
    for view in account.views:
        sites = [
            one
            for one in account.sites
            if one.field.number == view.field.number and (one.visit is not None or one.site in account.due)
        ]
        if not sites:
            continue
        lines = [_site_line(book, say, account, one) for one in sites]
        if view.field.several and view.last_seen == account.day:
            lines.append(_mean_line(book, say, view))
        title = f"{view.field.number} {view.field.name}"
        yield FieldBlock(title, tuple(lines))


def _site_line(book: FieldBook, say: Speech, account: Account, site: SiteView) -> SiteLine:
    going = site.visit is not None and site.visit.end is VisitEnd.OPEN
    figures = tuple(_figure_line(book, say, one, so_far=going) for one in site.figures)
    return SiteLine(str(site.site), _state(book, say, account, site), figures)


def _state(book: FieldBook, say: Speech, account: Account, site: SiteView) -> str:
    visit = site.visit
    if visit is None:
        return say.say("mail.not_begun")
    row = visit_on(book.session, site.site, account.day)
    reason = say.say("digest.reason", reason=row.reason) if row is not None and row.reason else ""
    if visit.skipped:
        return say.say("mail.skipped", reason=reason)
    values = {"n": visit.samples_in, "planned": visit.plan.samples, "reason": reason}
    match visit.end:
        case VisitEnd.DONE:
            return say.say("mail.done", **values)
        case VisitEnd.SHORT:
            return say.say("mail.ended", **values)
        case VisitEnd.OPEN | VisitEnd.SKIPPED:
            return say.say("mail.enough" if site.is_enough else "mail.going", **values)


def _mean_line(book: FieldBook, say: Speech, view: FieldView) -> SiteLine:
    """Give the mean of a field's sites, by which the field stands."""
    so_far = view.standing.state is not FieldState.FINAL
    taken = max((one.sites_in for one in view.standing.figures), default=0)
    return SiteLine(
        say.say("mail.mean"),
        say.say("mail.mean_in", n=taken, all=len(view.field.sites)),
        tuple(_figure_line(book, say, one, so_far=so_far) for one in view.standing.figures),
    )


def _figure_line(
    book: FieldBook, say: Speech, one: SiteFigures | FieldFigures, *, so_far: bool
) -> FigureLine:
    density = density_words(say, one)
    target = capital(say.target(book.season, one.target))
    count, per = f"{target} {density}", ""
    if density == "-":
        count = f"{target}: {say.say('mail.no_figure')}"
    elif one.per is not None:
        per = say.say("mail.per", per=say.effort(one.per))
    if one.judged.by_squares is not None:
        per += say.say("counts.squares", percent=percent_words(one.judged.by_squares.share))
    standing = standing_words(say, one.standing, so_far=so_far, sure=one.certain, short=True)
    tone = STANDING_TONES.get(one.standing, Tone.PLAIN)
    if is_close_call(one):
        standing = say.say("counts.close_call", standing=standing)
        tone = tone if tone is Tone.ACT else Tone.LOOK
    return FigureLine(count, per, level_words(one.judged) or say.say("mail.no_level"), standing, tone)
