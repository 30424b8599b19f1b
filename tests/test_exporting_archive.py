"""The Darwin Core archive as an independent reader opens it, and its terms against those of the standard."""

from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from bot.exporting.taxa import taxon_of
from bot.exporting.terms import EVENT_TERMS, OCCURRENCE_TERMS, TERMS
from bot.rules import Target
from tests.exported import Exported
from tests.talk import SEASONS, Talk, talking

DARWIN_CORE = SEASONS.parent / "darwin_core"
DWC = "http://rs.tdwg.org/dwc/terms/"
KEY = "larkspur-county-cotton-2027"

Line = dict[str, str]


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def record_of(_talk: Talk, folder: Path, *options: str) -> Exported:
    return Exported(f"sqlite:///{folder / 'talk.db'}", folder, *options)


def plain(data: Line) -> Line:
    """Give what a reader found by the short names of the terms, empty ones left out."""
    return {term.removeprefix(DWC): value for term, value in data.items() if value}


def read(record: Exported) -> dict[str, tuple[Line, dict[str, Line]]]:
    """Give each event by its identifier, and its occurrences by the code that they end with."""
    with record.archive() as archive:
        assert archive.core_contains_term(f"{DWC}eventID")
        assert archive.descriptor.core.type == f"{DWC}Event"
        assert [one.type for one in archive.descriptor.extensions] == [f"{DWC}Occurrence"]
        return {
            row.id: (
                plain(row.data),
                {
                    one["occurrenceID"].rpartition(":")[2]: one
                    for one in (plain(e.data) for e in row.extensions)
                },
            )
            for row in archive
        }


@pytest.mark.parametrize(
    ("file", "terms"), [("event.txt", EVENT_TERMS), ("occurrence.txt", OCCURRENCE_TERMS)]
)
def test_every_term_is_one_of_the_registered_definition(file: str, terms: tuple[str, ...]) -> None:
    # the addresses of the registered definitions, see fixtures/darwin_core/README.md
    registered = set((DARWIN_CORE / file).read_text(encoding="utf-8").split())
    assert TERMS == DWC
    assert {TERMS + term for term in terms} <= registered
    assert len(set(terms)) == len(terms)


def test_a_visit_is_an_event_and_each_sample_an_event_within_it(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 FA2 LN1 / 2 FNX LN3")
    events = read(record_of(talk, tmp_path))
    visit = f"{KEY}:121:2027-07-06"
    assert set(events) == {visit, f"{visit}:1", f"{visit}:2"}
    whole, none = events[visit]
    assert whole == {
        "eventID": visit,
        "eventDate": "2027-07-06",
        "samplingProtocol": "beat sheet, black sheet",
        "sampleSizeValue": "6",
        "sampleSizeUnit": "row ft",
        "samplingEffort": "2 of 10 samples",
        "fieldNumber": "121",
        "habitat": "cotton, bloom 2",
        "eventRemarks": "visit not finished",
        "locationID": f"{KEY}:site:121",
        "locality": "Gin Road West",
        "countryCode": "US",
        "datasetName": "Larkspur County cotton 2027",
    }
    assert none == {}
    sample, found = events[f"{visit}:1"]
    assert sample["parentEventID"] == visit
    assert (sample["sampleSizeValue"], sample["sampleSizeUnit"]) == ("3", "row ft")
    assert (sample["fieldNumber"], sample["samplingEffort"]) == ("121 1", "1 sample of 3 row ft")
    assert set(found) == {"FA", "FN", "LA", "LN", "MP"}


def test_nothing_found_is_an_absence_and_a_column_not_counted_gives_no_row(
    talk: Talk, tmp_path: Path
) -> None:
    talk.says("luis", "09:00", "121 2 FNX LN3")
    _, found = read(record_of(talk, tmp_path))[f"{KEY}:121:2027-07-06:2"]
    assert set(found) == {"FA", "LA", "LN", "MP"}
    assert found["LN"] == {
        "occurrenceID": f"{KEY}:121:2027-07-06:2:LN",
        "basisOfRecord": "HumanObservation",
        "occurrenceStatus": "present",
        "individualCount": "3",
        "lifeStage": "nymph",
        "scientificName": "Lygus",
        "taxonRank": "genus",
        "vernacularName": "plant bug (lygus)",
        "verbatimIdentification": "LN plant bug (lygus) nymph",
        "recordedBy": "luis",
    }
    assert (found["FA"]["occurrenceStatus"], found["FA"]["individualCount"]) == ("absent", "0")


def test_a_scientific_name_stands_only_where_a_source_names_one(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 FA1 MP2 SB1")
    _, found = read(record_of(talk, tmp_path))[f"{KEY}:121:2027-07-06:1"]
    names = {code: one.get("scientificName") for code, one in found.items()}
    assert names == {
        "FA": "Pseudatomoscelis seriatus",
        "FN": "Pseudatomoscelis seriatus",
        "LA": "Lygus",
        "LN": "Lygus",
        "MP": None,
        "SB": None,
    }
    assert (found["SB"]["vernacularName"], found["SB"]["verbatimIdentification"]) == (
        "stink bug",
        "SB stink bug",
    )


def test_a_target_that_a_season_renames_loses_its_scientific_name() -> None:
    assert taxon_of(Target("lygus", "plant bug (lygus)", ())) is not None
    assert taxon_of(Target("lygus", "green mirid", ())) is None
    assert taxon_of(Target("weevil", "boll weevil", ())) is None


def test_what_is_kept_for_naming_is_no_absence_of_a_taxon(tmp_path: Path) -> None:
    card = 'card = ["FA", "FN", "LA", "LN", "MP"]\nsheet = "black"'
    with talking(tmp_path, "talk.toml", (card, card.replace('"MP"', '"UK"'))) as talk:
        talk.says("luis", "09:00", "121 1 UK2 / 2 LN1")
        events = read(record_of(talk, tmp_path))
    _, first = events[f"{KEY}:121:2027-07-06:1"]
    _, second = events[f"{KEY}:121:2027-07-06:2"]
    assert first["UK"]["individualCount"] == "2"
    assert "vernacularName" not in first["UK"]
    assert "UK" not in second


def test_sums_over_samples_are_one_event_with_the_effort_of_all(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "123 TOTAL 10 FA31 LN20")
    event, found = read(record_of(talk, tmp_path))[f"{KEY}:123:2027-07-06:total"]
    assert (event["sampleSizeValue"], event["samplingEffort"]) == ("30", "10 samples of 3 row ft")
    assert event["eventRemarks"] == "sums over 10 samples"
    assert (found["FA"]["individualCount"], found["LN"]["individualCount"]) == ("31", "20")


def test_only_what_stands_and_was_sampled_goes_in(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 LN1 / 2 LN2")
    talk.says("luis", "09:01", "121 FIX 1 LN5")
    talk.says("luis", "09:02", "121 3 X")
    talk.says("luis", "09:03", "123 1 LN9")
    talk.says("luis", "09:03:30", "1")
    talk.says("luis", "09:04", "123 UNDO")
    talk.says("luis", "09:05", "14 SKIP rain")
    talk.says("june", "09:06", "CHECK 121 1 LN7")
    talk.says("luis", "09:07", "121 SQ 88 100")
    record = record_of(talk, tmp_path)
    events = read(record)
    visit = f"{KEY}:121:2027-07-06"
    assert set(events) == {visit, f"{visit}:1", f"{visit}:2"}
    assert events[visit][0]["samplingEffort"] == "2 of 10 samples, 1 lost"
    assert events[f"{visit}:1"][1]["LN"]["individualCount"] == "5"
    assert [row["status"] for row in record.rows("samples", site="123", code="LN")] == ["taken back"]


def test_weather_goes_in_and_words_that_somebody_texted_do_not(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 LN1")
    talk.says("luis", "09:01", "121 WET")
    talk.says("luis", "09:02", "121 NOTE opal was here, 270 555 0130")
    record = record_of(talk, tmp_path)
    event, _ = read(record)[f"{KEY}:121:2027-07-06"]
    assert event["eventRemarks"] == "visit not finished; wet"
    inside = "".join(record.inside(name) for name in ("event.txt", "occurrence.txt", "eml.xml"))
    assert "opal" not in inside
    assert "Luis Vega" not in inside


def test_a_name_with_tabs_and_lines_stays_in_its_cell(tmp_path: Path) -> None:
    with talking(
        tmp_path, "talk.toml", ('name = "Gin Road West"', 'name = "Gin\\tRoad\\n\\"West\\", <far> & on"')
    ) as talk:
        talk.says("luis", "09:00", "121 1 LN1")
        event, found = read(record_of(talk, tmp_path))[f"{KEY}:121:2027-07-06:1"]
    assert event["locality"] == 'Gin Road "West", <far> & on'
    assert event["countryCode"] == "US"
    assert len(found) == 5


def test_a_season_without_counts_gives_an_archive_without_rows(talk: Talk, tmp_path: Path) -> None:
    record = record_of(talk, tmp_path)
    assert read(record) == {}
    assert record.inside("event.txt").split() == ["id", *EVENT_TERMS]
    assert record.inside("occurrence.txt").split() == ["id", *OCCURRENCE_TERMS]
    assert "coverage" not in record.inside("eml.xml")


def test_the_metadata_has_what_eml_wants_in_its_order(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 LN1")
    talk.says("luis", "2027-07-08T09:00", "123 1 LN1")
    talk.says("luis", "2027-07-09T09:00", "14 SKIP rain")
    with record_of(talk, tmp_path).archive() as archive:
        root = archive.metadata
    assert root is not None
    # EML 2.2.0, eml-resource and eml-dataset: title, creator … contact, in this order (from memory; the file was
    # also held against the rules of the package metapype 0.3.0 once)
    assert root.tag == "{https://eml.ecoinformatics.org/eml-2.2.0}eml"
    assert set(root.attrib) == {"packageId", "system"}
    (dataset,) = root
    assert [element.tag for element in dataset] == [
        "title",
        "creator",
        "pubDate",
        "language",
        "abstract",
        "intellectualRights",
        "coverage",
        "contact",
    ]
    assert dataset.findtext("title") == "Larkspur County cotton 2027"
    assert dataset.findtext("contact/organizationName") == "Larkspur Extension"
    assert dataset.findtext("pubDate") == "2027-07-20"
    assert [day.text for day in dataset.iter("calendarDate")] == ["2027-07-06", "2027-07-08"]


def test_the_description_names_its_metadata_and_each_column_once(talk: Talk, tmp_path: Path) -> None:
    root = ET.fromstring(record_of(talk, tmp_path).inside("meta.xml"))  # noqa: S314  it is our own file
    text = "{http://rs.tdwg.org/dwc/text/}"
    assert (root.tag, root.get("metadata")) == (f"{text}archive", "eml.xml")
    core, extension = root
    for file, key, terms in ((core, "id", EVENT_TERMS), (extension, "coreid", OCCURRENCE_TERMS)):
        (place,) = file.iter(f"{text}{key}")
        fields = [(field.get("index"), field.get("term")) for field in file.iter(f"{text}field")]
        assert place.get("index") == "0"
        assert fields == [(str(n), DWC + term) for n, term in enumerate(terms, start=1)]


def test_the_same_record_gives_the_same_bytes(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "121 1 LN1")
    first = record_of(talk, tmp_path)
    before = {path.name: path.read_bytes() for path in (*first.folder.iterdir(), first.zip)}
    second = record_of(talk, tmp_path, "--overwrite")
    assert {path.name: path.read_bytes() for path in (*second.folder.iterdir(), second.zip)} == before
