"""The exported counts, summed by anybody, are those that `show` stands by: random small seasons by text."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from tests.exported import Exported, Row
from tests.talk import DAY, Talk, talking

SITES = (121, 123, 14, 31)
DAYS = (DAY, DAY + timedelta(days=1))

PEOPLE = st.sampled_from(("luis", "luis", "luis", "ana"))
COUNTS = st.lists(st.one_of(st.integers(0, 12).map(str), st.just("X")), min_size=5, max_size=5).map(
    lambda found: " ".join(
        f"{code}{'' if count == 'X' else count}{'X' if count == 'X' else ''}"
        for code, count in zip(("FA", "FN", "LA", "LN", "MP"), found, strict=True)
    )
)
NUMBERS = st.integers(1, 4)
SAMPLES = st.builds("{} {}".format, NUMBERS, COUNTS)
FORMS = st.one_of(
    SAMPLES,
    st.lists(SAMPLES, min_size=2, max_size=3).map(" / ".join),
    st.builds("{} FA2 SB{}".format, NUMBERS, st.integers(1, 3)),
    st.builds("{} X".format, NUMBERS),
    st.builds("TOTAL {} FA{} LN{}".format, st.integers(1, 10), st.integers(0, 40), st.integers(0, 40)),
    st.builds("FIX {} LN{}".format, NUMBERS, st.integers(0, 9)),
    st.builds("EACH {}".format, st.integers(2, 5)),
    st.builds("SQ {} 100".format, st.integers(0, 100)),
    st.builds("MOVE {}".format, st.sampled_from(SITES)),
    st.sampled_from(("UNDO", "SHORT rain", "SKIP wet")),
)
TEXTS = st.one_of(
    st.builds("{} {}".format, st.sampled_from(SITES), FORMS),
    st.builds("{} {}".format, st.sampled_from(SITES), FORMS),
    st.builds("{} {}".format, st.sampled_from(SITES), FORMS),
    st.builds("CHECK {} {}".format, st.sampled_from(SITES), SAMPLES),
)
Said = tuple[str, date, str, bool]
"""Who texts on which day what, and whether a 1 follows, as an answer where something is asked."""

SAID = st.lists(st.tuples(PEOPLE, st.sampled_from(DAYS), TEXTS, st.booleans()), min_size=8, max_size=30)


def play(talk: Talk, said: list[Said]) -> None:
    """Let people text, day by day, a minute apart."""
    for minute, (who, day, text, yes) in enumerate(sorted(said, key=lambda one: one[1])):
        at = f"{day}T{8 + minute // 60:02}:{minute % 60:02}"
        talk.says(who, at, text)
        if yes:
            talk.says(who, f"{at}:30", "1")


def together(*texts: str) -> list[Said]:
    """Give texts of one person on one day, each with a 1 after it."""
    return [("luis", DAY, text, True) for text in texts]


def counted(rows: list[Row]) -> dict[tuple[str, str], dict[str, Row]]:
    """Give the rows of what stands by kind and sample, then by code."""
    found: dict[tuple[str, str], dict[str, Row]] = defaultdict(dict)
    for row in rows:
        if row["status"] == "stands" and row["kind"] in ("sample", "total"):
            codes = found[row["kind"], row["sample"]]
            assert row["code"] not in codes, "a column of a sample stands twice"
            codes[row["code"]] = row
    return found


def count(row: Row) -> int | None:
    return int(row["count"]) if row["count"] else None


def weighed(talk: Talk, level_id: str, row: Row) -> Fraction | None:
    """Give the weight that a level of the season gives a column of the record."""
    (level,) = [one for one in talk.hand.season.levels if one.id == level_id]
    if row["on_card"] == "no":
        return None
    if row["target"] == level.target:
        return level.count.get(row["life_stage"])
    return level.others.get(row["target"])


def summed(talk: Talk, level_id: str, rows: list[Row]) -> tuple[Fraction, Fraction]:
    """Sum a level's target over rows of the record: total, and effort where all its columns were counted."""
    total = effort = Fraction(0)
    for codes in counted(rows).values():
        weights = {code: weighed(talk, level_id, row) for code, row in codes.items()}
        ours = {code: weight for code, weight in weights.items() if weight is not None}
        counts = {code: count(codes[code]) for code in ours}
        if any(one is None for one in counts.values()):
            continue
        total += sum((weight * (counts[code] or 0) for code, weight in ours.items()), Fraction(0))
        effort += Fraction(Decimal(next(iter(codes.values()))["effort"]))
    return total, effort


def samples_as_shown(rows: list[Row]) -> dict[str, Any]:
    """Give what stands in the form of `show`."""
    found = counted(rows)
    on_card = {
        key: {code: count(row) for code, row in codes.items() if row["on_card"] == "yes"}
        for key, codes in found.items()
    }
    lost = {key for key, codes in found.items() if any(row["lost"] == "yes" for row in codes.values())}
    extras = {
        sample: kept
        for (kind, sample), codes in found.items()
        if kind == "sample"
        and (kept := {code: count(row) for code, row in codes.items() if row["on_card"] == "no"})
    }
    sums = [(found[key], codes) for key, codes in on_card.items() if key[0] == "total"]
    return {
        "samples": {
            s: codes for (kind, s), codes in on_card.items() if kind == "sample" and (kind, s) not in lost
        },
        "lost": sorted(int(sample) for _, sample in lost),
        "extras": extras,
        "totals": [(int(next(iter(rows.values()))["samples"]), codes) for rows, codes in sums],
    }


def site_days(talk: Talk) -> Iterator[tuple[int, date, dict[str, Any]]]:
    for day in DAYS:
        for site in SITES:
            yield site, day, talk.show(site, day)


def hold_record_against_show(talk: Talk, record: Exported) -> None:
    """Hold the record against `show`, site by site and day by day."""
    for site, day, shown in site_days(talk):
        rows = record.rows("samples", site=str(site), day=day.isoformat())
        ours = samples_as_shown(rows)
        assert ours["samples"] == shown["samples"]
        assert ours["lost"] == shown["lost"]
        assert ours["extras"] == shown["extras"]
        totals = shown["totals"]
        assert ours["totals"] == ([] if totals is None else [(totals["samples"], totals["counts"])])
        kept = record.rows("standings", site=str(site), day=day.isoformat())
        by_key = {row["key"]: row for row in kept}
        for level in shown["levels"]:
            if "target" not in level or level["id"] is None:
                continue
            total, effort = summed(talk, level["id"], rows)
            assert (total, effort) == (level["total"], level["effort"])
            if (row := by_key.get(level["target"])) is not None:
                assert Fraction(Decimal(row["total"])) == total
                assert Fraction(Decimal(row["effort"])) == effort
                assert row["standing"] == level["standing"]
                density = Decimal(row["density"]) if row["density"] else None
                assert density == (None if level["density"] is None else Decimal(repr(level["density"])))
            else:
                assert effort == 0


def hold_archive_against_show(talk: Talk, record: Exported) -> None:
    """Hold the archive against `show`: an event for each visit and sample, an occurrence for each count."""
    events: set[tuple[str, str]] = set()
    found: dict[str, int] = {}
    for site, day, shown in site_days(talk):
        visit = f"larkspur-county-cotton-2027:{site}:{day}"
        samples = {number: dict(codes) for number, codes in shown["samples"].items()}
        for number, more in shown["extras"].items():
            samples[number] |= more
        if shown["totals"] is not None:
            samples["total"] = shown["totals"]["counts"] | shown["totals"].get("extras", {})
        events |= {(visit, "")} if samples else set()
        events |= {(f"{visit}:{number}", visit) for number in samples}
        for number, codes in samples.items():
            found |= {f"{visit}:{number}:{code}": one for code, one in codes.items() if one is not None}
    dwc = "http://rs.tdwg.org/dwc/terms/"
    with record.archive() as archive:
        rows = list(archive)
        assert {(row.data[f"{dwc}eventID"], row.data[f"{dwc}parentEventID"]) for row in rows} == events
        assert len(rows) == len(events)
        hung = [(row.id, one) for row in rows for one in row.extensions]
        assert {
            one.data[f"{dwc}occurrenceID"]: int(one.data[f"{dwc}individualCount"]) for _, one in hung
        } == found
        assert len(hung) == len(found)
        for core, one in hung:
            assert one.data[f"{dwc}occurrenceID"].startswith(f"{core}:")
            present = int(one.data[f"{dwc}individualCount"]) > 0
            assert one.data[f"{dwc}occurrenceStatus"] == ("present" if present else "absent")


@settings(max_examples=8, suppress_health_check=[HealthCheck.too_slow])
@given(said=SAID)
@example(said=together("121 TOTAL 10 FA3 LN4", "121 UNDO", "121 1 LN2", "121 TOTAL 10 FA3 LN9"))
@example(said=together("121 1 LN2 FAX", "121 EACH 4", "121 2 LN2", "121 FIX 1 LN5 FAX", "121 2 SB1 LN3"))
@example(said=together("121 1 LN2", "121 MOVE 123", "121 1 LN4", "121 3 X", "123 UNDO"))
@example(said=together("31 TOTAL 4 LN9", "31 2 LN1", "14 3 X", "14 SKIP wet", "14 1 LN1", "14 SHORT rain"))
def test_what_anybody_sums_from_the_record_is_what_show_stands_by(
    said: list[Said],
) -> None:
    with TemporaryDirectory() as made, talking(Path(made)) as talk:
        play(talk, said)
        record = Exported(f"sqlite:///{made}/talk.db", Path(made))
        assert {row["state"] for row in record.rows("texts_in")} == {"read"}
        hold_record_against_show(talk, record)
        hold_archive_against_show(talk, record)
