"""What must occur in every season that is played, and how it is found among what happened and what was caused."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import islice

from bot.whole_season import (
    AskedFor,
    CameBack,
    Caused,
    Counted,
    Fixed,
    HandedOver,
    Happening,
    HeldBack,
    HoursAreAll,
    LeftShort,
    Moved,
    Nothing,
    Opened,
    OptedOut,
    Reloads,
    SaidOk,
    Says,
    Script,
    SentOn,
    Shared,
    Shut,
    Skipped,
    Staged,
    Strikes,
    TakenBack,
    Unreadable,
    play,
)
from storage import Store


@dataclass(frozen=True, slots=True)
class Season:
    """A season that was played: what happened, with what it caused, and what its people did not expect."""

    seed: int
    happened: tuple[tuple[Happening, tuple[Caused, ...]], ...]
    surprises: tuple[str, ...]
    growers: frozenset[str]

    @property
    def said(self) -> list[tuple[Says, tuple[Caused, ...]]]:
        return [(one, caused) for one, caused in self.happened if isinstance(one, Says)]

    def means(self, kind: type) -> int:
        """Count the texts that mean something of a kind."""
        return sum(any(isinstance(one, kind) for one in says.means) for says, _ in self.said)

    def texted(self, pattern: str) -> int:
        """Count the texts that look so."""
        return sum(re.search(pattern, says.text) is not None for says, _ in self.said)

    def caused(self, purpose: str, pattern: str) -> int:
        """Count the texts of a purpose that look so."""
        return sum(
            one.purpose == purpose and re.search(pattern, one.text) is not None
            for _, caused in self.happened
            for one in caused
        )


def played(store: Store, seed: int, most: int | None = None) -> Season:
    script = Script(seed)
    happened = tuple(islice(play(script, store), most))
    growers = frozenset(
        one.phone for one in script.season.people.values() if one.phone and "grower" in one.roles
    )
    return Season(seed, happened, tuple(script.surprises), growers)


def late_texts(season: Season, wanted: Callable[[Says], bool]) -> int:
    return sum(says.sent is not None and wanted(says) for says, _ in season.said)


def arrives_after(says: Says, hour: int) -> bool:
    return says.at.astimezone(says.sent.tzinfo if says.sent else None).hour >= hour


def samples_of(season: Season) -> Iterator[tuple[Says, Counted]]:
    for says, _ in season.said:
        for meaning in says.means:
            if isinstance(meaning, Counted):
                yield says, meaning


def counted(season: Season, wanted: Callable[[Says, Counted], bool]) -> int:
    return sum(wanted(says, meaning) for says, meaning in samples_of(season))


def repeated_ids(season: Season) -> int:
    ids = [says.id for says, _ in season.said]
    return len(ids) - len(set(ids))


def withdrawn_in_quiet_hours(season: Season) -> int:
    return sum(
        one.purpose == "alert" and one.text.startswith(("CORRECTED", "CORREGIDO")) and hour >= 21
        for happening, caused in season.happened
        for one in caused
        for hour in [happening.at.hour]
    )


def fixes_that_cross(season: Season) -> int:
    return sum(
        any(isinstance(one, Fixed) for one in says.means)
        and any(one.purpose in ("alert", "notice") and re.search("ABOVE|ARRIBA", one.text) for one in caused)
        for says, caused in season.said
    )


OCCURS: dict[str, tuple[int, Callable[[Season], int]]] = {
    "a sample packed": (20, lambda s: s.texted(r"^\d+ \d+ \d{4,5}$")),
    "a sample in digits": (10, lambda s: s.texted(r"^\d+ \d+ \d \d \d \d( \d)?$")),
    "a sample in codes": (30, lambda s: s.texted(r"^\d+ \d+ [FLM][ANP]\d")),
    "nothing found": (30, lambda s: s.texted(r"^\d+ \d+ 0$")),
    "several samples with breaks": (30, lambda s: s.texted(r" / ")),
    "several samples without breaks": (10, lambda s: s.texted(r"^\d+ 1 \d{4,5} 2 ")),
    "a run of empty samples": (3, lambda s: s.texted(r"\d-\d+ 0")),
    "a whole site in one text": (20, lambda s: counted(s, lambda _, one: len(one.samples) >= 10)),
    "a control total": (5, lambda s: s.texted(r" T\d+$")),
    "a question": (20, lambda s: s.means(AskedFor)),
    "a yes": (20, lambda s: s.texted(r"^(1|SI|yes)$")),
    "a no": (10, lambda s: s.texted(r"^2$")),
    "an unknown code": (2, lambda s: s.caused("reply", r"is not on the card|no esta en la tarjeta")),
    "a wrong number of counts": (2, lambda s: s.caused("reply", r"counts came|llegaron \d")),
    "a count over the limit": (2, lambda s: s.caused("reply", r"is more than \d|pasa de \d")),
    "a site forgotten": (2, lambda s: s.caused("reply", r"no site in front|falta el sitio")),
    "another site while one is unfinished": (2, lambda s: s.caused("reply", r"is unfinished|¿Ya esta en")),
    "a number again": (2, lambda s: s.caused("reply", r"is in already: |ya estaba: ")),
    "a sample sent twice": (2, lambda s: s.caused("reply", r"nothing changed|no cambia nada|the same|igual")),
    "a gateway id twice": (2, repeated_ids),
    "FIX": (8, lambda s: s.means(Fixed)),
    "UNDO": (2, lambda s: s.means(TakenBack)),
    "MOVE": (2, lambda s: s.means(Moved)),
    "a sample lost": (2, lambda s: counted(s, lambda _, one: None in one.samples.values())),
    "a column not counted": (
        2,
        lambda s: counted(s, lambda _, one: any(None in c.values() for c in one.samples.values() if c)),
    ),
    "an extra": (2, lambda s: counted(s, lambda _, one: any("SB" in c for c in one.samples.values() if c))),
    "another effort": (5, lambda s: counted(s, lambda _, one: one.each is not None)),
    "a site left short": (4, lambda s: s.means(LeftShort)),
    "fewer than the plan's least": (1, lambda s: s.caused("reply", r"not enough to tell|no alcanza")),
    "a site skipped": (3, lambda s: s.means(Skipped)),
    "squares": (20, lambda s: s.texted(r"^\d+ (SQ|CU|CUADROS) ")),
    "bolls": (5, lambda s: s.texted(r"^\d+ BH ")),
    "a share turned round": (1, lambda s: s.caused("reply", r"If \d+ is what is missing|son los tirados")),
    "squares wanted": (2, lambda s: s.caused("reply", r"SEND SQUARES|MANDE CUADROS")),
    "a stage": (4, lambda s: s.means(Staged)),
    "a stage proposed": (2, lambda s: s.caused("notice", r"says \d+.* is in ")),
    "a hand-over": (3, lambda s: s.means(HandedOver)),
    "counts for a dead phone": (1, lambda s: s.texted(r"^(BY|POR) ")),
    "a changed season file": (2, lambda s: sum(isinstance(one, Reloads) for one, _ in s.happened)),
    "a new scout at an old phone": (20, lambda s: sum(says.who == "sage" for says, _ in s.said)),
    "counts of somebody not on the list": (3, lambda s: s.caused("notice", r"'s list\. They are stored")),
    "a text hours late": (10, lambda s: late_texts(s, lambda one: one.at - one.sent > timedelta(hours=1))),  # type: ignore[operator]
    "a text after the digest": (1, lambda s: late_texts(s, lambda one: arrives_after(one, 19))),
    "a text after midnight": (
        1,
        lambda s: late_texts(s, lambda one: one.sent is not None and one.sent.date() < one.at.date()),
    ),
    "a correction of yesterday": (2, lambda s: s.texted(r"^(MON|TUE|WED|THU|LUN|MAR|MIE|JUE) ")),
    "an alert": (20, lambda s: s.caused("alert", r"label and local rules|etiqueta y regla local")),
    "still above": (3, lambda s: s.caused("alert", r"still ABOVE|sigue ARRIBA")),
    "back below": (3, lambda s: s.caused("alert", r"back BELOW|otra vez ABAJO")),
    "in range": (5, lambda s: s.caused("notice", r"IN RANGE\. Yours to decide")),
    "certain before all is counted": (3, lambda s: s.caused("reply", r"FOR SURE|YA SEGURO")),
    "two that cross with one text": (1, lambda s: s.caused("alert", r"\. \+ ")),
    "an alert taken back": (2, lambda s: s.caused("alert", r"^(CORRECTED|CORREGIDO)")),
    "an alert taken back in quiet hours": (1, withdrawn_in_quiet_hours),
    "a correction that makes a field cross": (1, fixes_that_cross),
    "an alert that waits": (3, lambda s: s.caused("notice", "WAITS for you")),
    "SEND": (3, lambda s: s.means(SentOn)),
    "WAIT": (1, lambda s: s.means(HeldBack)),
    "OK": (30, lambda s: s.means(SaidOk)),
    "thanks": (2, lambda s: s.texted(r"(?i)^(muchas )?gracias$|thanks$")),
    "a reminder": (2, lambda s: s.caused("alert", r"has no OK yet|no tiene OK")),
    "an alert not read": (2, lambda s: s.caused("notice", "has not read the alert")),
    "a grower's own words": (1, lambda s: s.means(Unreadable)),
    "SPRAYED with hours": (8, lambda s: s.texted(r"^\d+ (SPRAYED|FUMIGADO) \d+$")),
    "SPRAYED without hours": (2, lambda s: s.texted(r"^\d+ (SPRAYED|FUMIGADO)$")),
    "SPRAYING": (2, lambda s: s.texted(r"^\d+ (SPRAYING|FUMIGANDO)$")),
    "a sign": (1, lambda s: s.texted(r"^\d+ (POSTED|LETRERO)$")),
    "words of a treatment": (1, lambda s: s.texted(r"flying|avioneta|^FUMIGADO$")),
    "hours given later": (2, lambda s: s.means(HoursAreAll)),
    "OPEN": (1, lambda s: s.means(Opened)),
    "a closure": (15, lambda s: s.means(Shut)),
    "a keep-out": (10, lambda s: s.caused("keepout", r"KEEP OUT of|NO ENTRE al")),
    "a neighbour told": (1, lambda s: s.caused("keepout", r"next to your|Al lado de su")),
    "no OK to a keep-out": (1, lambda s: s.caused("notice", "^CALL .*no OK yet")),
    "counts from a closed field": (1, lambda s: s.caused("notice", "texted counts from")),
    "hours that are over": (5, lambda s: s.caused("notice", r"are over\. This is no permission")),
    "a recheck due": (3, lambda s: s.caused("notice", "Recheck is due")),
    "a silence": (1, lambda s: s.caused("notice", "has not texted since")),
    "a phone that opts out and comes back": (2, lambda s: s.means(OptedOut) + s.means(CameBack)),
    "words to the crew": (2, lambda s: s.caused("reply", r"^Sent to \d")),
    "SOS": (1, lambda s: s.caused("keepout", "^SOS from")),
    "a stranger": (2, lambda s: sum(says.who.startswith("+") for says, _ in s.said)),
    "somebody in training": (2, lambda s: s.caused("reply", "in training")),
    "a check": (1, lambda s: s.texted("^CHECK ")),
    "practice": (1, lambda s: s.texted("^PRACTICE ")),
    "PLAN": (3, lambda s: s.texted("^PLAN$")),
    "TODAY": (3, lambda s: s.texted("^TODAY$")),
    "CREW": (3, lambda s: s.texted("^(CREW|GENTE)$")),
    "nodes": (3, lambda s: s.texted(r"^\d+ (NAWF|NAFB) ")),
    "cutout proposed": (1, lambda s: s.caused("notice", "STAGE CUTOUT")),
    "temperatures": (10, lambda s: s.texted(r"^TEMP \d+ \d+$")),
    "a digest": (100, lambda s: s.caused("digest", ".")),
    "a late change": (1, lambda s: s.caused("digest", r"Late change|Cambio")),
    "a morning text": (50, lambda s: s.caused("notice", r"as of 8:02|a las 8:02")),
    "the clock": (300, lambda s: sum(isinstance(one, Strikes) for one, _ in s.happened)),
    "a text that changes nothing": (50, lambda s: s.means(Nothing)),
    "a share": (20, lambda s: s.means(Shared)),
}
"""What must occur in a season, how often at least, and how it is found."""
