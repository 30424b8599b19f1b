"""A Darwin Core archive of sampling events: meta.xml, eml.xml, events and occurrences in one zip file.

As the Darwin Core Text Guide (TDWG) has it: rows end with a line feed, cells with a tab, nothing is enclosed, so a tab
or line break within a cell becomes a blank. Nothing is defused: it is for programs, and of texted words it has none.
"""

import io
import zipfile
from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from bot.exporting.eml import eml_text
from bot.exporting.events import Line, events_of
from bot.exporting.record import Record
from bot.exporting.terms import EVENT, EVENT_TERMS, OCCURRENCE, OCCURRENCE_TERMS, TERMS
from bot.exporting.xml_text import xml_text

TEXT_NAMESPACE = "http://rs.tdwg.org/dwc/text/"

EVENTS, OCCURRENCES, META, EML = "event.txt", "occurrence.txt", "meta.xml", "eml.xml"

ZIP_BEGINS = (1980, 1, 1, 0, 0, 0)
"""The time of every file in the zip, its earliest: the same record gives the same bytes."""


def archive_bytes(record: Record) -> bytes:
    """Give a record as the bytes of a Darwin Core archive."""
    found = events_of(record)
    files = {
        META: meta_text(),
        EML: eml_text(record, {line["eventDate"] for line in found.events}),
        EVENTS: _rows(EVENT_TERMS, ((line["eventID"], line) for line in found.events)),
        OCCURRENCES: _rows(OCCURRENCE_TERMS, found.occurrences),
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            entry = zipfile.ZipInfo(name, ZIP_BEGINS)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, text.encode())
    return out.getvalue()


def meta_text() -> str:
    """Give meta.xml: which file is what, and which column which term."""
    root = ET.Element("archive", {"xmlns": TEXT_NAMESPACE, "metadata": EML})
    _describe(root, "core", "id", EVENTS, EVENT, EVENT_TERMS)
    _describe(root, "extension", "coreid", OCCURRENCES, OCCURRENCE, OCCURRENCE_TERMS)
    return xml_text(root)


def _describe(root: ET.Element, role: str, key: str, file: str, row_type: str, terms: Sequence[str]) -> None:
    described = ET.SubElement(
        root,
        role,
        {
            "encoding": "UTF-8",
            "fieldsTerminatedBy": "\\t",
            "linesTerminatedBy": "\\n",
            "fieldsEnclosedBy": "",
            "ignoreHeaderLines": "1",
            "rowType": row_type,
        },
    )
    ET.SubElement(ET.SubElement(described, "files"), "location").text = file
    ET.SubElement(described, key, {"index": "0"})
    for place, term in enumerate(terms, start=1):
        ET.SubElement(described, "field", {"index": str(place), "term": TERMS + term})


def _rows(terms: Sequence[str], lines: Iterable[tuple[str, Line]]) -> str:
    """Give rows that begin with the event's identifier, under a header of the terms."""
    table = [("id", *terms), *((key, *(line.get(term, "") for term in terms)) for key, line in lines)]
    return "".join("\t".join(" ".join(cell.split()) for cell in row) + "\n" for row in table)
