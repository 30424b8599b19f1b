"""Why an alert waits for a person."""

from datetime import datetime, timedelta

from bot.whole_season.happening import AskedFor, Says
from tests.recount.crossings import Event
from tests.recount.fields import governing, left_out
from tests.recount.file import SeasonPage
from tests.recount.handovers import Handovers
from tests.recount.rounds import FieldRecord
from tests.recount.standings import columns


class Questions:
    """The questions that are open: one per phone, about a site, until its next text, two hours, or the day's end."""

    def __init__(self) -> None:
        self._open: dict[str, tuple[int, datetime]] = {}

    def hears(self, says: Says, at: datetime) -> None:
        """Take in a text: it closes what its phone was asked, and may open another question."""
        self._open.pop(says.who, None)
        for meaning in says.means:
            if isinstance(meaning, AskedFor):
                self._open[says.who] = (meaning.site, at)

    def at(self, sites: tuple[int, ...], at: datetime) -> bool:
        """Say whether a question about one of these sites is open."""
        return any(
            site in sites and at - asked < timedelta(hours=2) and asked.date() == at.date()
            for site, asked in self._open.values()
        )


def reasons(
    page: SeasonPage,
    record: FieldRecord,
    event: Event,
    questions: Questions,
    handed: Handovers,
    at: datetime,
) -> tuple[str, ...]:
    """Give the reasons for which an alert waits."""
    one = record.rounds[-1]
    row = next(row for row in one.rows if row.target == event.target)
    visits = governing(record, one).values()
    found: list[str] = []
    if page.reviewed:
        found.append("reviewed")
    codes = {page.shares[row.target][0]} if row.is_share else set(columns(page, one.plan, row))
    if any(
        (count or 0) > one.plan.ask_above
        for visit in visits
        for sample in visit.samples.values()
        for code, count in sample.counts.items()
        if code in codes
    ):
        found.append("over ask_above")
    for visit in visits:
        n, of = visit.shares.get("SQ", (1, 1))
        if row.mark is not None and n * 2 < of:
            found.append("turned round")
        if row.is_share:
            n, of = visit.shares.get(page.shares[row.target][0], (0, 1))
            if n * 2 > of:
                found.append("turned round")
        if not all(handed.was_assigned(record, visit.site, sample.by) for sample in visit.samples.values()):
            found.append("not assigned")
        if record.ended(one, visit) and left_out(record, one, visit):
            found.append("under least")
    seen = {visit.site for visit in visits if record.ended(one, visit)}
    if any(site not in seen for site in one.skips):
        found.append("skipped")
    if one.stage.proposed and row.stages:
        found.append("proposed stage")
    if questions.at((*record.of.sites, record.of.number), at):
        found.append("open question")
    return tuple(dict.fromkeys(found))
