"""eml.xml: what the data set is, in the Ecological Metadata Language 2.2.0, with what the season knows."""

from collections.abc import Collection
from xml.etree import ElementTree as ET

from bot.exporting.events import dataset_key
from bot.exporting.record import Record
from bot.exporting.xml_text import xml_text

EML_NAMESPACE = "https://eml.ecoinformatics.org/eml-2.2.0"

SAYS = (
    "Counts of insects in cotton fields of a scouting programme, sent by text message. Each visit of a site on a day "
    "is an event; each of its samples is an event within it, with what was sampled as sample size. Every column of the "
    "plan's card that was counted is an occurrence of one target in one life stage; 0 is kept as an absence, a "
    "column that was not counted has no row.",
    "Only what stands is here: no sample that was replaced, taken back or lost, no check count, no count of somebody "
    "in training. Shares (n of m squares or bolls) count no insects and are not here.",
    "People tell insects by sight in the field. A scientific name stands only where the target means one taxon for "
    "certain; else the programme's own name for it stands. A target not found in a sample may still be in the field.",
)

RIGHTS = "Not stated: whoever publishes this record says under which terms."


def eml_text(record: Record, days: Collection[str]) -> str:
    """Give the metadata of a record's archive; elements stand in the order that EML 2.2.0 wants.

    `days` are those of its events.
    """
    season = record.season
    root = ET.Element(
        "eml:eml", {"xmlns:eml": EML_NAMESPACE, "packageId": dataset_key(record), "system": "rowfoot"}
    )
    dataset = ET.SubElement(root, "dataset")
    ET.SubElement(dataset, "title").text = one_line(season.name)
    _party(record, ET.SubElement(dataset, "creator"))
    ET.SubElement(dataset, "pubDate").text = record.book.today.isoformat()
    ET.SubElement(dataset, "language").text = "en"
    abstract = ET.SubElement(dataset, "abstract")
    for says in SAYS:
        ET.SubElement(abstract, "para").text = says
    ET.SubElement(ET.SubElement(dataset, "intellectualRights"), "para").text = RIGHTS
    if days:
        span = ET.SubElement(ET.SubElement(dataset, "coverage"), "temporalCoverage")
        dates = ET.SubElement(span, "rangeOfDates")
        for end, day in (("beginDate", min(days)), ("endDate", max(days))):
            ET.SubElement(ET.SubElement(dates, end), "calendarDate").text = day
    _party(record, ET.SubElement(dataset, "contact"))
    return xml_text(root)


def _party(record: Record, element: ET.Element) -> None:
    """Name the programme: its contact without the number, unless phone numbers were asked for."""
    season = record.season
    number = season.contact_number
    name = season.contact.replace(number, "").strip(" ,;:()")
    ET.SubElement(element, "organizationName").text = one_line(record.words(name) or season.name)
    if record.phones and number != season.contact:
        ET.SubElement(element, "phone").text = number


def one_line(words: str) -> str:
    """Give words without line breaks and what XML cannot hold."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())
