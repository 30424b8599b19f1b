"""The terms of the archive and their addresses: those of Darwin Core (TDWG) alone.

Source: Darwin Core Text Guide (TDWG), and the two definitions registered for archives of 2022-02-02.
"""

TERMS = "http://rs.tdwg.org/dwc/terms/"

EVENT, OCCURRENCE = f"{TERMS}Event", f"{TERMS}Occurrence"
"""The row types."""

EVENT_TERMS = (
    "eventID",
    "parentEventID",
    "eventDate",
    "samplingProtocol",
    "sampleSizeValue",
    "sampleSizeUnit",
    "samplingEffort",
    "fieldNumber",
    "habitat",
    "eventRemarks",
    "locationID",
    "locality",
    "countryCode",
    "datasetName",
)

OCCURRENCE_TERMS = (
    "occurrenceID",
    "basisOfRecord",
    "occurrenceStatus",
    "individualCount",
    "lifeStage",
    "scientificName",
    "taxonRank",
    "vernacularName",
    "verbatimIdentification",
    "recordedBy",
)
