"""The season's record as CSV: what is marked, what is left out, how cells are written (RFC 4180)."""

import csv
import io
from collections.abc import Iterator
from datetime import UTC, date, datetime
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.exporting.phones import PhoneHider
from bot.exporting.table import Column, Kind, Table, as_written, cell_text, csv_text, defused, number_text
from bot.season_file import SeasonText
from storage import newest_season
from tests.exported import Exported, read_csv
from tests.talk import ZONE, Talk, talking

FORMULA = "=2+5+cmd|' /C calc'!A0"


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


def record_of(_talk: Talk, folder: Path, *options: str) -> Exported:
    return Exported(f"sqlite:///{folder / 'talk.db'}", folder, *options)


# What is in the record


def test_a_count_not_made_is_empty_and_nothing_found_is_0(talk: Talk, tmp_path: Path) -> None:
    talk.reply("luis", "09:00", "121 1 FAX LN2")
    rows = {row["code"]: row for row in record_of(talk, tmp_path).rows("samples")}
    assert {code: row["count"] for code, row in rows.items()} == {
        "FA": "",
        "FN": "0",
        "LA": "0",
        "LN": "2",
        "MP": "0",
    }
    nymphs = rows["LN"]
    assert (nymphs["target"], nymphs["life_stage"], nymphs["on_card"]) == ("lygus", "nymph", "yes")
    assert (nymphs["site"], nymphs["field"], nymphs["day"]) == ("121", "12", "2027-07-06")
    assert (nymphs["method"], nymphs["effort"], nymphs["effort_unit"]) == ("beat sheet", "3", "row ft")
    assert (nymphs["person"], nymphs["person_name"]) == ("luis", "Luis Vega")
    assert nymphs["counted_at"] == "2027-07-06T09:00:00-05:00"


def test_a_corrected_and_an_undone_sample_stay_and_are_marked(talk: Talk, tmp_path: Path) -> None:
    talk.reply("luis", "09:00", "121 1 LN2")
    talk.reply("luis", "09:05", "121 FIX 1 LN3")
    talk.reply("luis", "09:10", "121 2 LN7")
    talk.reply("luis", "09:15", "121 UNDO")
    record = record_of(talk, tmp_path)
    found = [
        (row["sample"], row["count"], row["status"], row["ended_at"])
        for row in record.rows("samples", code="LN")
    ]
    assert found == [
        ("1", "2", "replaced", "2027-07-06T09:05:00-05:00"),
        ("1", "3", "stands", ""),
        ("2", "7", "taken back", "2027-07-06T09:15:00-05:00"),
    ]
    fix, undo = (row["ended_by_text"] for row in record.rows("samples", code="LN") if row["ended_by_text"])
    kinds = {row["text"]: row["kind"] for row in record.rows("texts_in")}
    assert (kinds[fix], kinds[undo]) == ("Fix", "Undo")


def test_sums_over_samples_carry_the_effort_of_all_and_replace_samples(talk: Talk, tmp_path: Path) -> None:
    talk.reply("luis", "09:00", "121 1 LN2")
    talk.says("luis", "09:05", "121 TOTAL 10 LN9")
    talk.says("luis", "09:06", "1")
    record = record_of(talk, tmp_path)
    (total,) = record.rows("samples", kind="total", code="LN")
    assert (total["sample"], total["samples"], total["effort"], total["count"]) == ("", "10", "30", "9")
    (sample,) = record.rows("samples", kind="sample", code="LN")
    assert sample["status"] == "replaced"


def test_a_lost_sample_has_no_counts_and_no_effort(talk: Talk, tmp_path: Path) -> None:
    talk.reply("luis", "09:00", "121 3 X")
    rows = record_of(talk, tmp_path).rows("samples")
    assert {(row["sample"], row["lost"], row["count"], row["effort"]) for row in rows} == {
        ("3", "yes", "", "")
    }


def test_a_check_and_the_counts_of_a_trainee_are_marked_as_in_no_standing(tmp_path: Path) -> None:
    luis = 'phone = "+1 270 555 0112"\n'
    with talking(tmp_path, "talk.toml", (luis, f"{luis}trainee = true\n")) as talk:
        talk.says("ana", "09:00", "121 1 LN2")
        talk.says("june", "09:10", "CHECK 121 1 LN6")
        talk.says("luis", "09:20", "14 1 LN4")
        record = record_of(talk, tmp_path)
        kinds = {(row["kind"], row["site"], row["count"]) for row in record.rows("samples", code="LN")}
        assert kinds == {("sample", "121", "2"), ("check", "121", "6"), ("trainee", "14", "4")}
        assert [row["site"] for row in record.rows("visits")] == ["121"]


def test_skipped_and_short_visits_keep_their_reasons(talk: Talk, tmp_path: Path) -> None:
    talk.reply("luis", "09:00", "14 SKIP wet, deep mud")
    talk.reply("luis", "09:05", "121 1-6 0")
    talk.reply("luis", "09:06", "121 SHORT storm")
    found = {row["site"]: row for row in record_of(talk, tmp_path).rows("visits")}
    assert (found["14"]["state"], found["14"]["reason"]) == ("skipped", "wet, deep mud")
    assert (found["121"]["state"], found["121"]["reason"]) == ("short", "storm")
    assert (found["121"]["stage"], found["121"]["samples_in"], found["121"]["samples_planned"]) == (
        "bloom 2",
        "6",
        "10",
    )


def test_shares_nodes_stages_and_efforts_are_there(talk: Talk, tmp_path: Path) -> None:
    for minute, text in enumerate(("123 SQ 88 100", "123 SQ 80 100", "123 NAWF 6 7 6.5", "27 STAGE BLOOM 2")):
        talk.says("luis", f"09:0{minute}", text)
    talk.says("luis", "09:10", "14 EACH 4")
    record = record_of(talk, tmp_path)
    shares = [(row["n"], row["m"], row["of"], row["status"]) for row in record.rows("shares")]
    assert shares == [("88", "100", "squares", "replaced"), ("80", "100", "squares", "stands")]
    assert [row["nodes"] for row in record.rows("nawf")] == ["6", "7", "6.5"]
    assert [(row["field"], row["phase"], row["week"]) for row in record.rows("stages")] == [
        ("27", "bloom", "2")
    ]
    assert [(row["site"], row["amount"]) for row in record.rows("efforts")] == [("14", "4")]


def test_every_alert_says_who_was_told_when_it_left_and_when_it_was_read(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "14 TOTAL 10 LN18")
    talk.says("opal", "09:30", "OK")
    record = record_of(talk, tmp_path)
    (crossing,) = record.rows("crossings")
    assert (crossing["field"], crossing["key"], crossing["kind"]) == ("14", "lygus", "above")
    assert (crossing["density"], crossing["level_id"]) == ("3", "plantbug-bloom-sheet")
    told = {row["person"]: row for row in record.rows("alerts")}
    assert set(told) == {"opal", "ramon"}
    assert told["opal"]["left_at"] == "2027-07-06T09:00:00-05:00"
    assert (told["opal"]["read_at"], told["ramon"]["read_at"]) == ("2027-07-06T09:30:00-05:00", "")
    (sent,) = record.rows("texts_out", text=told["opal"]["text"])
    (cause,) = record.rows("texts_in", text=sent["caused_by_text"])
    assert (sent["kind"], sent["caused_by"], cause["words"]) == ("alert", "luis", "14 TOTAL 10 LN18")


def test_a_closed_field_is_on_record_with_its_hours(talk: Talk, tmp_path: Path) -> None:
    talk.says("june", "09:00", "14 SPRAYED 24")
    (kept,) = record_of(talk, tmp_path).rows("closures")
    assert (kept["field"], kept["person"], kept["cause"]) == ("14", "june", "sprayed")
    assert (kept["hours"], kept["since"]) == ("24", "2027-07-06T09:00:00-05:00")
    assert (kept["until"], kept["ended_at"]) == ("2027-07-07T09:00:00-05:00", "")


def test_a_treatment_is_on_record_with_the_counts_before_and_after_it(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "08:00", "14 " + " / ".join(f"{number} LN3" for number in range(1, 11)))
    talk.says("opal", "12:00", "14 SPRAYED 24")
    talk.says("opal", "2027-07-11T12:00", "31 SPRAYED 24")
    talk.says("luis", "2027-07-10T09:00", "14 1 LN1 / 2 LN2 / 3-10 0")
    record = record_of(talk, tmp_path)
    (row,) = record.rows("treatments", field="14")
    closure = record.rows("closures", field="14")[0]["closure"]
    assert (row["closure"], row["over"], row["recheck"]) == (closure, "2027-07-06T12:00:00-05:00", "final")
    assert (row["target"], row["before"], row["after"], row["per_amount"]) == ("lygus", "5", "0.5", "5")
    assert (row["by"], row["percent"], row["finding"]) == ("before/after", "90", "fewer")
    assert (row["check_after"], row["untreated_check"]) == ("", "")
    assert float(row["percent_low"]) < 90 < float(row["percent_high"])
    (waiting,) = record.rows("treatments", field="31")
    assert (waiting["recheck"], waiting["target"], waiting["percent"]) == ("none", "", "")


# Where things stood


def test_each_round_of_a_field_stands_by_its_own_visits_when_two_share_a_day(
    talk: Talk, tmp_path: Path
) -> None:
    for site, nymphs, day in ((121, 6, "06"), (123, 12, "06"), (125, 18, "08"), (121, 0, "08")):
        talk.says("luis", f"2027-07-{day}T09:00", f"{site} TOTAL 10 LN{nymphs}")
    record = record_of(talk, tmp_path)
    first, second = record.rows("fields", field="12", key="lygus")
    assert (first["first_day"], first["last_day"], first["state"]) == ("2027-07-06", "2027-07-08", "final")
    # 6, 12 and 18 plant bugs on 30 row ft: 1, 2 and 3 per 5 row ft
    assert (first["sites_in"], first["density"], first["standing"]) == ("3", "2", "below")
    assert float(first["se"]) == pytest.approx((1 / 3) ** 0.5)
    assert (second["first_day"], second["sites_in"], second["density"]) == ("2027-07-08", "1", "0")


def test_the_row_of_the_level_book_stands_beside_each_standing(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "14 TOTAL 10 LN18")
    (row,) = record_of(talk, tmp_path).rows("standings")
    assert (row["level_id"], row["level_source"], row["level_year"]) == (
        "plantbug-bloom-sheet",
        "MSU Extension P2561",
        "2007",
    )
    assert (row["per_amount"], row["per_unit"], row["low"], row["high"]) == ("5", "row ft", "3", "3")


def test_counts_of_a_field_that_left_the_season_stay_and_the_command_says_so(
    talk: Talk, tmp_path: Path
) -> None:
    talk.says("luis", "09:00", "14 1 LN3")
    with talk.store.read() as session:
        kept = newest_season(session)
        text, book = kept.season_text, kept.book_text
    without = text[: text.index("[fields.14]")] + text[text.index("[fields.16]") :]
    talk.load(SeasonText(season=without, book=book))
    record = record_of(talk, tmp_path)
    assert "no longer has the sites 14" in record.said
    (nymphs,) = record.rows("samples", code="LN")
    assert (nymphs["site"], nymphs["count"], nymphs["method"]) == ("14", "3", "beat sheet")
    assert record.rows("visits")[0]["field_name"] == ""
    assert record.rows("standings") == record.rows("fields") == []


@pytest.mark.parametrize("text", ["64 BH 3 25", "64 BH 4 25"])
def test_a_share_that_was_looked_at_alone_stands_as_show_has_it(tmp_path: Path, text: str) -> None:
    with talking(tmp_path, "figures.toml") as talk:
        talk.says("luis", "09:00", text)
        (shown,) = [one for one in talk.show(64)["levels"] if "share" in one]
        (row,) = record_of(talk, tmp_path).rows("standings")
    assert (row["kind"], row["key"], row["visit"]) == ("share", "bollhurt", "")
    assert (int(row["total"]), int(row["effort"])) == (shown["total"], shown["effort"])
    assert float(row["density"]) == pytest.approx(shown["density"])
    assert (row["per_amount"], row["per_unit"]) == tuple(shown["per"].split(" ", 1))
    assert [float(row["interval_low"]), float(row["interval_high"])] == pytest.approx(shown["interval"])
    assert (row["standing"], row["close_call"]) == (shown["standing"], "yes" if shown["close_call"] else "no")


def test_an_alert_that_waits_says_why(tmp_path: Path) -> None:
    reviewed = ('alerts = "automatic"', 'alerts = "reviewed"')
    with talking(tmp_path, "talk.toml", reviewed) as talk:
        talk.says("luis", "09:00", "14 TOTAL 10 LN18")
        record = record_of(talk, tmp_path)
    (crossing,) = record.rows("crossings")
    assert crossing["waits_for"] == "reviewed"
    assert record.rows("alerts") == []


# How cells are written


def test_a_note_with_commas_quotes_lines_and_a_formula_comes_back_as_it_was(
    talk: Talk, tmp_path: Path
) -> None:
    words = f'{FORMULA}, "twice"\n-and, so on'
    talk.reply("luis", "09:00", f"14 NOTE {words}")
    record = record_of(talk, tmp_path)
    (text,) = record.rows("texts_in")
    assert as_written(text["words"]) == f"14 NOTE {words}"
    (note,) = record.rows("remarks")
    assert note["words"].startswith("'=2+5")
    assert as_written(note["words"]) == " ".join(words.split())


def test_a_name_with_a_formula_is_defused_wherever_it_stands(tmp_path: Path) -> None:
    name = '=HYPERLINK("x"), Vega'
    with talking(tmp_path, "talk.toml", ('name = "Luis Vega"', f"name = '{name}'")) as talk:
        talk.says("luis", "09:00", "14 1 LN3")
        record = record_of(talk, tmp_path)
        for file in ("samples", "visits", "texts_in"):
            assert {row["person_name"] for row in record.rows(file)} == {f"'{name}"}


def test_no_cell_that_somebody_chose_begins_a_formula(talk: Talk, tmp_path: Path) -> None:
    for minute, sign in enumerate("=+-@"):
        talk.says("luis", f"09:0{minute}", f"{sign}SUM(A1)")
        talk.says("luis", f"09:1{minute}", f"14 NOTE {sign}SUM(A1)")
    record = record_of(talk, tmp_path, "--phones")
    cells = [
        cell
        for file in sorted(record.folder.glob("*.csv"))
        for row in read_csv(file)
        for cell in row.values()
    ]
    assert "'=SUM(A1)" in cells
    assert "'+12705550112" in cells
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))]


@given(words=st.text(alphabet=st.sampled_from("=+-@'\t\r\n,\"ab1 ñ"), max_size=12))
def test_any_words_come_back_and_begin_no_formula(words: str) -> None:
    columns: tuple[Column[str], ...] = (Column("words", Kind.TEXT, "", lambda row: row),)
    table = Table("x", "", columns, [words, "z"])
    header, cells, last = csv.reader(io.StringIO(csv_text(table, ZONE), newline=""), strict=True)
    # a row of one empty cell is written with quotes, so that it is no empty line
    assert (header, last) == (["words"], ["z"])
    assert as_written(cells[0]) == words
    assert not cells[0].startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_lines_end_with_crlf_and_quotes_are_doubled() -> None:
    # RFC 4180, section 2: rules 1 (CRLF), 3 (header), 6 (line breaks and commas in quotes), 7 (quotes doubled)
    columns: tuple[Column[tuple[str, str]], ...] = (
        Column("one", Kind.TEXT, "", lambda row: row[0]),
        Column("two", Kind.TEXT, "", lambda row: row[1]),
    )
    table = Table("x", "", columns, [("aaa", 'b"bb'), ("x,y", "b\r\nbb")])
    assert csv_text(table, ZONE) == 'one,two\r\naaa,"b""bb"\r\n"x,y","b\r\nbb"\r\n'


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (3, "3"),
        (0, "0"),
        (Fraction(5, 2), "2.5"),
        (Fraction(-1, 8), "-0.125"),
        (Fraction(1, 3), "0.3333333333333333"),
        (2.0, "2"),
        (0.1, "0.1"),
        (Fraction(25), "25"),
    ],
)
def test_numbers_stay_numbers_and_exact_where_they_have_an_end(
    number: float | Fraction, written: str
) -> None:
    assert number_text(number) == written


def test_times_have_the_seasons_offset_of_their_day_and_days_are_dates() -> None:
    chicago = ZoneInfo("America/Chicago")
    summer, winter = datetime(2027, 7, 6, 14, 30, tzinfo=UTC), datetime(2027, 12, 6, 14, 30, tzinfo=UTC)
    assert cell_text(Kind.TIME, summer, chicago) == "2027-07-06T09:30:00-05:00"
    assert cell_text(Kind.TIME, winter, chicago) == "2027-12-06T08:30:00-06:00"
    assert cell_text(Kind.DAY, date(2027, 7, 6), chicago) == "2027-07-06"


def test_words_of_our_own_are_not_changed() -> None:
    assert cell_text(Kind.WORD, "-", ZONE) == "-"
    assert defused("plain") == "plain"
    assert defused("'tis") == "''tis"


# Phones


def test_no_phone_number_is_in_any_file_unless_asked_for(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "14 NOTE call Opal (270) 555-0130 or 2705550111 at noon")
    talk.says("luis", "09:05", "HELP")
    talk.says("+1 270 555 0177", "09:10", "who is this")
    record = record_of(talk, tmp_path)
    # the sums of digits are kept apart from ours by taking every separator out
    for file in sorted(record.folder.iterdir()):
        digits = "".join(sign for sign in file.read_text(encoding="utf-8") if sign not in " ()-.+")
        for phone in ("2705550130", "2705550177"):
            assert phone not in digits, file.name
        if file.name != "dictionary.md":
            assert "2705550111" not in digits, file.name
            assert "2705550100" not in digits, file.name
    assert "phone" not in record.rows("texts_in")[0]
    assert as_written(record.rows("remarks")[0]["words"]) == "call Opal [phone] or [phone] at noon"


def test_phone_numbers_stand_where_they_are_asked_for(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "14 NOTE call 270-555-0130")
    record = record_of(talk, tmp_path, "--phones")
    assert as_written(record.rows("texts_in")[0]["phone"]) == "+12705550112"
    assert record.rows("remarks")[0]["words"] == "call 270-555-0130"
    assert "<phone>270-555-0100</phone>" in record.inside("eml.xml")


@pytest.mark.parametrize(
    "words",
    [
        "121 10102 6 0",
        "63 1 2 0 0 1 0 270 555",
        "2027-07-06",
        "14 TOTAL 10 FA31 =49",
        "DD60 250-350",
        "270 555 01",
    ],
)
def test_counts_days_and_figures_are_no_phone_numbers(words: str) -> None:
    assert PhoneHider(["+12705550111", "270-555-0100"])(words) == words


@pytest.mark.parametrize(
    "phone",
    [
        "+12705550111",
        "+1 270 555 0111",
        "270-555-0111",
        "(270) 555-0111",
        "2705550111",
        "270.555.0111",
        "1 270 555 0111",
    ],
)
def test_a_known_number_is_hidden_however_it_is_written(phone: str) -> None:
    assert PhoneHider(["+12705550111"])(f"call {phone}, 3 times") == "call [phone], 3 times"


# The dictionary


def test_the_dictionary_has_every_column_of_every_file(talk: Talk, tmp_path: Path) -> None:
    talk.says("luis", "09:00", "14 1 LN3")
    record = record_of(talk, tmp_path)
    said = (record.folder / "dictionary.md").read_text(encoding="utf-8")
    sections = dict(section.split("\n", 1) for section in said.split("\n## ")[1:])
    files = {file.name: file.read_bytes().decode() for file in record.folder.glob("*.csv")}
    assert set(sections) == set(files)
    for name, text in files.items():
        lines = [line for line in sections[name].splitlines() if line.startswith("| ")][1:]
        cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
        assert [one[0] for one in cells] == text.split("\r\n")[0].split(",")
        assert all(len(one) == 5 and all(one) for one in cells), name
