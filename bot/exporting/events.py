"""The record as sampling events and occurrences: a visit is an event, each of its samples an event within it.

Only what stands goes in: samples replaced, taken back or lost, check counts, counts of trainees and skipped visits
are in the CSV files alone. Shares are in the CSV alone too: n of m squares or bolls counts no insects. Of words that
somebody texted nothing goes in.
"""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from bot.exporting.record import Record
from bot.exporting.table import number_text
from bot.exporting.taxa import UNKNOWN, taxon_of
from bot.exporting.visits import SeenVisit, gear_of, seen_visits
from bot.rules import VisitEnd
from parsing import TOTALS
from storage import RemarkRow, SampleRow, every, standing_samples

Line = dict[str, str]
"""The values of a row by term; a term left out is empty."""


@dataclass(frozen=True, slots=True)
class Events:
    """Events, and occurrences each with the event that it belongs to."""

    events: list[Line]
    occurrences: list[tuple[str, Line]]


def events_of(record: Record) -> Events:
    """Give the events and occurrences of a record."""
    said: dict[tuple[int, object], list[str]] = {}
    for remark in every(record.book.session, RemarkRow):
        if remark.about in WEATHER:
            said.setdefault((remark.number, remark.day), []).append(remark.about)
    found = Events([], [])
    for visit in seen_visits(record):
        samples = [row for row in standing_samples(visit.row) if not row.lost]
        if not samples:
            continue
        row = visit.row
        about = dict.fromkeys((*said.get((row.site, row.day), ()), *said.get((row.field, row.day), ())))
        whole = _visit_event(record, visit, samples, list(about))
        found.events.append(whole)
        for sample in samples:
            event = _sample_event(whole, visit, sample)
            found.events.append(event)
            found.occurrences.extend(
                (event["eventID"], line) for line in _occurrences(record, event, visit, sample)
            )
    return found


WEATHER = ("wet", "wind")


def dataset_key(record: Record) -> str:
    """Give the season's name as part of an identifier."""
    plain = unicodedata.normalize("NFKD", record.season.name).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain).strip("-") or "season"


def _visit_event(record: Record, visit: SeenVisit, samples: list[SampleRow], about: list[str]) -> Line:
    row, facts, plan = visit.row, visit.facts, visit.plan
    field = record.season.fields.get(row.field)
    lost = f", {visit.lost} lost" if visit.lost else ""
    effort = sum((Fraction(one.effort) * max(one.covers, 1) for one in samples), Fraction(0))
    key = dataset_key(record)
    return {
        "eventID": f"{key}:{row.site}:{row.day}",
        "eventDate": row.day.isoformat(),
        "samplingProtocol": ", ".join(filter(None, (plan.method.value, gear_of(plan)))),
        "sampleSizeValue": number_text(effort),
        "sampleSizeUnit": plan.each.unit.value,
        "samplingEffort": f"{facts.samples_in} of {plan.samples} samples{lost}",
        "fieldNumber": str(row.site),
        "habitat": f"cotton, {row.stage}" if row.stage else "cotton",
        "eventRemarks": "; ".join([STATE_SAID[facts.end], *about]),
        "locationID": f"{key}:site:{row.site}",
        "locality": field.name if field is not None else "",
        "countryCode": record.season.country,
        "datasetName": record.season.name,
    }


STATE_SAID = {
    VisitEnd.OPEN: "visit not finished",
    VisitEnd.DONE: "visit finished",
    VisitEnd.SHORT: "visit ended before all samples were in",
    VisitEnd.SKIPPED: "visit skipped after these samples",
}


def _sample_event(whole: Line, visit: SeenVisit, sample: SampleRow) -> Line:
    sums = sample.number == TOTALS
    number = "total" if sums else str(sample.number)
    unit = visit.plan.each.unit.value
    each = number_text(Fraction(sample.effort))
    return {
        **whole,
        "eventID": f"{whole['eventID']}:{number}",
        "parentEventID": whole["eventID"],
        "sampleSizeValue": number_text(Fraction(sample.effort) * max(sample.covers, 1)),
        "samplingEffort": f"{sample.covers} samples of {each} {unit}"
        if sums
        else f"1 sample of {each} {unit}",
        "fieldNumber": f"{visit.row.site} {number}",
        "eventRemarks": f"sums over {sample.covers} samples" if sums else "",
    }


def _occurrences(record: Record, event: Line, visit: SeenVisit, sample: SampleRow) -> Iterator[Line]:
    """Give one occurrence for every column counted, zeros as absences; what was not counted gives none."""
    season = record.season
    on_card = {column.code: column for column in visit.plan.card}
    for code, count in {**sample.counts, **sample.extras}.items():
        column = on_card.get(code) or season.column(code)
        target = season.targets.get(column.target) if column is not None else None
        unknown = target is not None and target.key == UNKNOWN
        if count is None or (unknown and count == 0):
            continue
        stage = column.life_stage if column is not None and column.life_stage != "any" else ""
        name = target.name if target is not None else ""
        taxon = taxon_of(target) if target is not None else None
        yield {
            "occurrenceID": f"{event['eventID']}:{code}",
            "basisOfRecord": "HumanObservation",
            "occurrenceStatus": "present" if count else "absent",
            "individualCount": str(count),
            "lifeStage": stage,
            "scientificName": taxon.name if taxon is not None else "",
            "taxonRank": taxon.rank if taxon is not None else "",
            "vernacularName": "" if unknown else name,
            "verbatimIdentification": " ".join(filter(None, (code, name, stage))),
            "recordedBy": sample.person,
        }
