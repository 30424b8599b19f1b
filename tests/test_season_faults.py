"""The faults of a season file: each is found, named by its key path, and told with all the others."""

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest

from bot.rules import Season
from bot.season_file import Fault, SeasonText, read_season, read_texts

SEASONS = Path(__file__).parent.parent / "fixtures" / "seasons"
PLAIN = read_texts(SEASONS / "plain.toml")

Edit = tuple[str, str]


def faults_of(texts: SeasonText) -> tuple[Fault, ...]:
    season = read_season(texts)
    return () if isinstance(season, Season) else season


def edited(text: str, *edits: Edit) -> str:
    """Give a text with some of its words exchanged; `("", more)` puts more at its end."""
    for old, new in edits:
        assert old in text, f"{old!r} is not in the file to be edited"
        text = text.replace(old, new, 1) if old else f"{text}\n{new}\n"
    return text


def faults_with(*edits: Edit, book: tuple[Edit, ...] = ()) -> tuple[Fault, ...]:
    """Give the faults of the plain season after some edits."""
    return faults_of(SeasonText(edited(PLAIN.season, *edits), edited(PLAIN.book, *book)))


def the_fault(*edits: Edit, book: tuple[Edit, ...] = ()) -> Fault:
    """Give the one fault that an edit makes."""
    found = faults_with(*edits, book=book)
    assert len(found) == 1, "\n".join(map(str, found)) or "no fault"
    return found[0]


def target(key: str, columns: str) -> Edit:
    return "", f'[targets.{key}]\nname = "{key}"\ncolumns = {{ {columns} }}'


def field(number: int, more: str = "") -> Edit:
    return "", f'[fields.{number}]\nname = "New"\nrow_spacing_in = 38\nplan = "sheets"\n{more}'


def level(
    row_id: str, more: str, *, stage: str = '["bloom"]', low: str = "1", per: str = '"5 row ft"'
) -> Edit:
    return "", f'[[level]]\nid = "{row_id}"\nstage = {stage}\nlow = {low}\nper = {per}\n{more}'


WEEVIL_SHEET = 'target = "weevil"\ncount = { any = 1 }\nmethod = "beat sheet"'


def test_the_plain_season_has_no_fault() -> None:
    assert faults_with() == ()


def test_ten_faults_are_told_in_one_go_in_the_order_of_the_file() -> None:
    found = faults_of(read_texts(SEASONS / "ten_faults.toml"))
    assert [fault.path for fault in found] == [
        "season.day_ends",
        "people.beto.phone",
        "fields.12.row_spacing_in",
        "fields.12.scouts",
        "fields.1215",
        "fields.1215.plan",
        "plans.sheets.each",
        "plans.sheets.card",
        "targets.weevil.columns.EN",
        "level.1.high",
    ]


def test_a_fault_is_said_with_its_path() -> None:
    fault = the_fault(('plan = "sheets"', 'plan = "sheet"'))
    assert str(fault) == "fields.12.plan: There is no plan sheet. Did you mean sheets?"


@pytest.mark.parametrize(
    ("edit", "path", "says"),
    [
        (('name = "Plain 2027"', ""), "season.name", "required"),
        (('name = "Plain 2027"', "name = 2027"), "season.name", "must be text"),
        (('name = "Plain 2027"', 'name = " "'), "season.name", "must not be empty"),
        (('"America/Chicago"', '"America/Larkspur"'), "season.timezone", "no time zone"),
        (('"America/Chicago"', '"America"'), "season.timezone", "no time zone"),
        (('"America/Chicago"', '"../etc"'), "season.timezone", "no time zone"),
        (('country = "US"', 'country = "Uz"'), "season.country", "no country"),
        (("[people.ana]", 'day_end = "18:00"\n[people.ana]'), "season.day_end", "Did you mean day_ends?"),
        (("[people.ana]", 'day_ends = "6:30"\n[people.ana]'), "season.day_ends", "time of day"),
        (("[people.ana]", 'day_ends = "07:59"\n[people.ana]'), "season.day_ends", "inside the quiet hours"),
        (("[people.ana]", 'day_ends = "21:00"\n[people.ana]'), "season.day_ends", "inside the quiet hours"),
        (("[people.ana]", 'quiet = ["18:00", "19:00"]\n[people.ana]'), "season.day_ends", "season.quiet"),
        (("[people.ana]", 'quiet = ["21:00"]\n[people.ana]'), "season.quiet", "exactly 2"),
        (("[people.ana]", 'alerts = "manual"\n[people.ana]'), "season.alerts", "'automatic' or 'reviewed'"),
        (("[people.ana]", "reminder_hours = 0\n[people.ana]"), "season.reminder_hours", "more than 0"),
        (("[people.ana]", "reminder_hours = inf\n[people.ana]"), "season.reminder_hours", "number"),
        (("[people.ana]", "reminder_hours = 1e999999\n[people.ana]"), "season.reminder_hours", "number"),
        (("[people.ana]", "reminder_hours = true\n[people.ana]"), "season.reminder_hours", "number"),
        (
            ("[people.ana]", 'accept_unverified = ["lygus-swep"]\n[people.ana]'),
            "season.accept_unverified",
            "lygus-sweep",
        ),
        (("", "[filds.16]"), "filds", "Did you mean fields?"),
    ],
)
def test_a_fault_of_the_season_itself_is_told(edit: Edit, path: str, says: str) -> None:
    fault = the_fault(edit)
    assert fault.path == path
    assert says in fault.says


@pytest.mark.parametrize("quiet", ['["18:31", "08:00"]', '["00:00", "00:00"]', '["12:00", "18:30"]'])
def test_a_day_may_end_just_outside_quiet_hours(quiet: str) -> None:
    assert faults_with(("[people.ana]", f"quiet = {quiet}\n[people.ana]")) == ()


@pytest.mark.parametrize(
    ("edit", "path", "says"),
    [
        (('phone = "+1 270 555 0111"\n', ""), "people.ana.phone", "only a grower"),
        (("+1 270 555 0111", "+1 555 555 0100"), "people.ana.phone", "no valid phone number"),
        (('roles = ["scout"]', "roles = []"), "people.ana.roles", "must not be empty"),
        (('roles = ["scout"]', 'roles = ["scouter"]'), "people.ana.roles.1", "one of scout, leader"),
        (
            ('roles = ["scout"]', 'roles = ["scout"]\nlanguage = "fr"'),
            "people.ana.language",
            "one of en and es",
        ),
        (('roles = ["scout"]', 'roles = ["scout"]\nvisual = "no"'), "people.ana.visual", "true or false"),
        (('crew = ["ana"]', 'crew = ["anna"]'), "people.june.crew", "Did you mean ana?"),
        (('growers = ["opal"]', 'growers = ["ana"]'), "fields.12.growers", "ana is no grower"),
        (('growers = ["opal"]', 'growers = ["opel"]'), "fields.12.growers", "Did you mean opal?"),
        (
            ('scouts = ["ana"]', 'scouts = ["opal"]'),
            "fields.12.scouts",
            "opal is no scout or leader or supervisor",
        ),
        (("sites = 3", 'supervisors = ["ana"]'), "fields.12.supervisors", "ana is no supervisor"),
        (("row_spacing_in = 38.5\n", ""), "fields.12.row_spacing_in", "required"),
        (("row_spacing_in = 38.5\n", "row_spacing_in = -1\n"), "fields.12.row_spacing_in", "more than 0"),
        (('plan = "sheets"\n', ""), "fields.12.plan", "required"),
        (('plan = "sheets"\n', "plan = {}\n"), "fields.12.plan", "the key of a plan"),
        (('bloom = "sweeps"', 'bloom = "sweep"'), "fields.14.plan.bloom", "Did you mean sweeps?"),
        (('bloom = "sweeps"', 'boom = "sweeps"'), "fields.14.plan.boom", "no stage boom"),
        (('bloom = "sweeps"', '"bloom 3+" = "sweeps"'), "fields.14.plan.bloom 3+", 'write "bloom 3"'),
        (("sites = 3", "beside = [14, 15]"), "fields.12.beside", "no field 15"),
        (("sites = 3", "beside = [12]"), "fields.12.beside", "beside itself"),
        (("sites = 3", 'first_bloom = "2027-06-28"'), "fields.12.first_bloom", "date without quotes"),
        (("sites = 3", "first_bloom = 2027-06-28T08:00:00"), "fields.12.first_bloom", "date without quotes"),
        (("sites = 3", "sites = 6"), "fields.12.sites", "from 1 to 5"),
        (("sites = 3", "sites = [1]"), "fields.12.sites", "two or more"),
        (("sites = 3", "sites = [1, 1]"), "fields.12.sites", "each once"),
        (("sites = 3", "sites = [1, 12]"), "fields.12.sites", "single digits"),
    ],
)
def test_a_fault_of_people_and_fields_is_told(edit: Edit, path: str, says: str) -> None:
    fault = the_fault(edit)
    assert fault.path == path
    assert says in fault.says


def test_a_phone_used_twice_names_both() -> None:
    fault = the_fault(("+1 270 555 0120", "270 555 0111"))
    assert fault == Fault("people.june.phone", "+12705550111 is used twice: it is at people.ana.phone too.")


def test_a_scout_who_may_not_sample_by_eye_has_no_visual_plan() -> None:
    looks = (
        '[plans.looks]\nmethod = "visual"\nsamples = 5\neach = { plants = 20 }\ncard = ["MP"]\nlevel = "none"'
    )
    fault = the_fault(("", looks), ('plan = "sheets"', 'plan = "looks"'))
    assert fault.path == "fields.12.scouts"
    assert "plans.looks" in fault.says
    assert "people.ana.visual" in fault.says
    trained = ('roles = ["scout"]', 'roles = ["scout"]\nvisual = true')
    assert faults_with(("", looks), ('plan = "sheets"', 'plan = "looks"'), trained) == ()


@pytest.mark.parametrize(
    ("number", "more", "path", "says"),
    [
        (9, "", "fields.9", "2 to 4 digits"),
        (12345, "", "fields.12345", "2 to 4 digits"),
        (911, "", "fields.911", "emergency"),
        (99, "sites = [8, 9]", "fields.99.sites", "999 is an emergency number"),
        (1234, "sites = 2", "fields.1234.sites", "2 or 3 digits"),
        (145, "", "fields.145", "14 (fields.14) begins 145 (fields.145)"),
        (1211, "", "fields.1211", "12 (fields.12) begins 1211 (fields.1211)"),
    ],
)
def test_a_fault_of_numbers_is_told(number: int, more: str, path: str, says: str) -> None:
    found = [fault for fault in faults_with(field(number, more)) if fault.path == path and says in fault.says]
    assert len(found) == 1


def test_a_field_that_has_the_number_of_a_site_is_there_twice() -> None:
    found = faults_with(field(123))
    assert Fault("fields.123", "123 is twice: fields.12.sites has it too.") in found


def test_a_field_number_is_larger_than_any_sample_number() -> None:
    fault = the_fault(("samples = 4", "samples = 14"), ("sites = 3", ""), ("[fields.12]", "[fields.21]"))
    assert fault.path == "fields.14"
    assert fault.says == "14 is not larger than 14, the largest sample number (plans.sweeps.samples)."


def test_a_field_written_twice_names_both_lines() -> None:
    fault = the_fault(field(12))
    assert fault.path == "fields.12"
    lines = [
        n for n, line in enumerate(edited(PLAIN.season, field(12)).splitlines(), 1) if line == "[fields.12]"
    ]
    assert fault.says == f"This is written twice: lines {lines[0]} and {lines[1]}."


@pytest.mark.parametrize(
    ("edit", "path", "says"),
    [
        (
            ('method = "beat sheet"', 'method = "shake"'),
            "plans.sheets.method",
            "one of sweep net, beat sheet",
        ),
        (("each = { row_ft = 3 }", "each = { sweeps = 25 }"), "plans.sheets.each", "in row ft"),
        (("each = { row_ft = 3 }", "each = {}"), "plans.sheets.each", "exactly one"),
        (("each = { row_ft = 3 }", "each = { row_ft = 3, sweeps = 25 }"), "plans.sheets.each", "exactly one"),
        (("each = { row_ft = 3 }", "each = { row_ft = 0 }"), "plans.sheets.each.row_ft", "more than 0"),
        (("each = { row_ft = 3 }\n", ""), "plans.sheets.each", "required"),
        (("samples = 9", "samples = 100"), "plans.sheets.samples", "99 or less"),
        (("samples = 9", "samples = 9\nleast = 10"), "plans.sheets.least", "over the plan's 9"),
        (("samples = 9", 'samples = 9\nlevel = "some"'), "plans.sheets.level", "'none'"),
        (("samples = 9", 'samples = 9\nhours = ["11:00", "06:30"]'), "plans.sheets.hours", "earlier"),
        (("samples = 9", "samples = 9\nhoop_in = 15"), "plans.sheets.hoop_in", "no such gear"),
        (
            ('["LA", "LN", "MP"]', '["LA", "LN", "MQ"]'),
            "plans.sheets.card",
            "There is no code MQ. Did you mean MP?",
        ),
        (('["LA", "LN", "MP"]', '["LA", "LN", "LA"]'), "plans.sheets.card", "LA is on the card twice"),
        (('["LA", "LN", "MP"]', '["LA", "LN", "SQ"]'), "plans.sheets.card", "shares.squares"),
        (('["LA", "LN", "MP"]', "[]"), "plans.sheets.card", "must not be empty"),
        (("low = 8,", "low = 15,"), "plans.sweeps.stop.high", "low must be less than high"),
        (('sweeps", alpha', 'sweeps", k = 0, alpha'), "plans.sweeps.stop.k", "more than 0"),
        (("alpha = 0.1", "alpha = 0.9"), "plans.sweeps.stop.beta", "less than 1"),
        (("at_least = 2", "at_least = 5"), "plans.sweeps.stop.at_least", "only 4 samples"),
        (
            ("at_least = 2", "atleast = 2, at_least = 2"),
            "plans.sweeps.stop.atleast",
            "Did you mean at_least?",
        ),
        (
            ('target = "lygus", low', 'target = "spider", low'),
            "plans.sweeps.stop.target",
            "no code of spider (AR)",
        ),
        (
            ('target = "lygus", low', 'target = "ligus", low'),
            "plans.sweeps.stop.target",
            "Did you mean lygus?",
        ),
        (
            ('per = "100 sweeps", a', 'per = "5 row ft", a'),
            "plans.sweeps.stop.per",
            "in sweeps, not in row ft",
        ),
        (('rule = "sequential"', 'rule = "seq"'), "plans.sweeps.stop.rule", "'sequential'"),
    ],
)
def test_a_fault_of_a_plan_is_told(edit: Edit, path: str, says: str) -> None:
    fault = the_fault(edit)
    assert fault.path == path
    assert says in fault.says


def test_the_card_has_a_code_for_every_life_stage_that_a_level_counts() -> None:
    fault = the_fault(('card = ["LA", "LN", "MP"]', 'card = ["LA", "MP"]'))
    assert fault.path == "plans.sheets.card"
    assert "lygus-sheet counts the nymph of lygus" in fault.says


def test_the_second_count_of_a_level_needs_its_code_too() -> None:
    only_adults = ("count = { adult = 1, nymph = 1 }", "count = { adult = 1 }")
    fault = the_fault(('card = ["LA", "LN", "MP"]\nstop', 'card = ["LA", "MP"]\nstop'), book=(only_adults,))
    assert fault.path == "plans.sweeps.card"
    assert "lygus-sweep counts the nymph" in fault.says


def test_a_target_that_counts_in_need_not_be_on_the_card() -> None:
    assert "with = { cloudedbug" in PLAIN.book
    assert "CB" not in PLAIN.season


def test_a_level_that_is_not_in_force_asks_for_no_code() -> None:
    recalled = (
        'id = "lygus-sweep-recalled"\ntarget = "lygus"\ncount = { adult = 1, nymph = 1 }',
        'id = "old"\ntarget = "lygus"\ncount = { nymph = 1 }',
    )
    in_force = ("count = { adult = 1, nymph = 1 }", "count = { adult = 1 }")
    no_second = ("also =", "# also =")
    card = ('card = ["LA", "LN", "MP"]\nstop', 'card = ["LA", "MP"]\nstop')
    assert faults_with(card, book=(recalled, in_force, no_second)) == ()


def test_a_card_without_any_level_says_that_none_is_wanted() -> None:
    bare = ('card = ["LA", "LN", "MP"]', 'card = ["MP"]')
    fault = the_fault(bare)
    assert fault.path == "plans.sheets.level"
    assert 'level = "none"' in fault.says
    assert faults_with(bare, ("samples = 9", 'samples = 9\nlevel = "none"')) == ()


def test_a_level_of_another_stage_than_the_plans_is_no_level_of_it() -> None:
    """Field 14 has sweeps from bloom on; the one sweep-net row is moved to before it."""
    fault = the_fault(book=(('stage = ["bloom"]', 'stage = ["squaring 2"]'),))
    assert fault.path == "plans.sweeps.level"


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (target("mite", 'M1 = "any"'), "no digits"),
        (target("mite", 'MITE = "any"'), "2 or 3 letters"),
        (target("mite", 'M = "any"'), "2 or 3 letters"),
        (target("mite", 'LO = "any"'), "made of O, I and L only"),
        (target("mite", 'LB = "any"'), "LB is one press from LA (lygus, which ships)"),
        (target("mite", 'LO = "any"'), "LO is one press from LN"),
        (target("mite", 'NR = "any"'), "NR has the same keys as MP"),
        (target("mite", 'WV = "any"'), "WV is the same as WV (targets.weevil.columns.WV)"),
        (target("mite", 'TP = "any"'), "TP is the same as TP (terminals, which ships)"),
        (target("mite", 'UN = "any"'), "UN has the same keys as the word TO"),
        (target("mite", 'SQ = "any"'), "the word SQ"),
        (target("mite", 'FIX = "any"'), "the word FIX"),
        (target("mite", 'END = "any"'), "the word END"),
        (target("mite", 'STO = "any"'), "one letter from STOP, which asks for no more texts"),
        (target("mite", 'FNX = "any"'), "by its X, from FN"),
    ],
)
def test_a_code_too_near_to_another_or_to_a_word_is_told(edit: Edit, says: str) -> None:
    found = faults_with(edit)
    assert {fault.path.rpartition(".")[0] for fault in found} == {"targets.mite.columns"}
    assert any(says in fault.says for fault in found), "\n".join(map(str, found))


def test_two_codes_of_the_season_that_are_too_near_name_both_places() -> None:
    fault = the_fault(target("mite", 'VW = "any"'), ("WV =", "VX ="))
    assert fault == Fault("targets.mite.columns.VW", "VW is one press from VX (targets.weevil.columns.VX).")


def test_a_code_of_two_letters_may_lack_a_letter_of_an_opt_out_word() -> None:
    """FN lacks one of FIN: a code never stands alone, and it ships."""
    assert faults_with(target("mite", 'ED = "any"')) != ()
    assert faults_with(target("mite", 'IN = "any"')) == ()


def test_a_share_that_takes_its_own_code_again_clashes_with_nothing() -> None:
    assert faults_with(("", '[shares.squares]\ncode = "SQ"')) == ()


def test_the_codes_that_ship_keep_their_distances_from_one_another() -> None:
    """What ships is taken as it is; written out in a season file it is checked like any other."""
    shipped = files("bot.season_file").joinpath("shipped.toml").read_text(encoding="utf-8")
    assert faults_with(("", shipped)) == ()


def test_a_share_of_the_season_needs_every_key() -> None:
    found = faults_with(("", '[shares.mines]\ncode = "MV"'))
    assert [fault.path for fault in found] == [
        "shares.mines.name",
        "shares.mines.of",
        "shares.mines.said",
        "shares.mines.look",
    ]


def test_a_target_has_one_code_for_each_life_stage() -> None:
    assert the_fault(target("mite", 'MV = "nymph", WW = "nymph"')).path == "targets.mite.columns"
    assert the_fault(target("mite", 'MV = "any", WW = "nymph"')).path == "targets.mite.columns"
    assert "no life stage egg" in the_fault(target("mite", 'MV = "egg"')).says


@pytest.mark.parametrize(
    ("edit", "path", "says"),
    [
        (level("new", WEEVIL_SHEET), "level.2.stage", "new is like weevil-sheet (level.1)"),
        (
            level("new", WEEVIL_SHEET, stage='["bloom 2", "bloom 4+", "bloom 6"]', low="4\nhigh = 3"),
            "level.2.high",
            "over",
        ),
        (level("new", WEEVIL_SHEET, stage='["boom"]'), "level.2.stage.1", "no stage boom"),
        (
            level("new", WEEVIL_SHEET, stage="[]", per='"100 sweeps"'),
            "level.2.per",
            "in row ft, not in sweeps",
        ),
        (level("new", WEEVIL_SHEET, stage="[]", per='"5 feet"'), "level.2.per", '"5 row ft"'),
        (level("new", WEEVIL_SHEET, stage="[]", per='"0 row ft"'), "level.2.per", '"5 row ft"'),
        (
            level("new", 'target = "weavil"\ncount = { any = 1 }\nmethod = "visual"', per='"9 plants"'),
            "level.2.target",
            "weevil",
        ),
        (level("new", 'target = "weevil"\nmethod = "beat sheet"'), "level.2.count", "required"),
        (level("new", 'target = "weevil"\ncount = { any = 1 }'), "level.2.method", "required"),
        (
            level("new", 'target = "weevil"\ncount = { nymph = 1 }\nmethod = "beat sheet"'),
            "level.2.count.nymph",
            "any only",
        ),
        (
            level("new", f"{WEEVIL_SHEET}\nwith = {{ mite = 1 }}", stage="[]"),
            "level.2.with.mite",
            "no target mite",
        ),
        (
            level("new", f'{WEEVIL_SHEET}\nretention = {{ how = "and" }}', stage="[]"),
            "level.2.retention",
            "exactly one",
        ),
        (
            level("new", f'{WEEVIL_SHEET}\nretention = {{ below = 80, how = "if" }}', stage="[]"),
            "level.2.retention.how",
            "and, or",
        ),
        (
            level("new", f'{WEEVIL_SHEET}\nretention = {{ below = 101, how = "or" }}', stage="[]"),
            "level.2.retention.below",
            "percent",
        ),
        (level("weevil-sheet", WEEVIL_SHEET), "level.2.id", "level.1 has it too"),
        (
            level("new", 'share = "bollhurt"\nmethod = "visual"', per='"100 bolls"'),
            "level.2.method",
            "has no method",
        ),
        (level("new", 'share = "bollhurt"', per='"100 squares"'), "level.2.per", "of bolls, not of squares"),
        (level("new", 'share = "bolhurt"', per='"100 bolls"'), "level.2.share", "Did you mean bollhurt?"),
        (
            level("new", 'share = "bollhurt"\ncount = { any = 1 }', per='"100 bolls"'),
            "level.2.count",
            "has no count",
        ),
        (
            level("new", f'{WEEVIL_SHEET}\nshare = "bollhurt"', stage="[]"),
            "level.2.target",
            "either a target or a share",
        ),
        (level("new", ""), "level.2.target", "either a target or a share"),
    ],
)
def test_a_fault_of_a_level_is_told(edit: Edit, path: str, says: str) -> None:
    fault = the_fault(edit)
    assert fault.path == path
    assert says in fault.says


@pytest.mark.parametrize("stage", ['["bloom 2"]', "[]", '["squaring", "cutout"]', '["bloom 2", "bloom 3+"]'])
def test_a_row_that_names_its_stage_more_or_less_closely_is_not_alike(stage: str) -> None:
    assert faults_with(level("new", WEEVIL_SHEET, stage=stage)) == ()


def test_a_fault_of_the_book_goes_by_the_id_of_its_row() -> None:
    fault = the_fault(book=(('per = "5 row ft"', 'per = "5 plants"'),))
    assert fault == Fault(
        "book level lygus-sheet.per", "The effort of a beat sheet is in row ft, not in plants."
    )


def test_a_row_of_the_season_that_mends_the_books_takes_its_fault_away() -> None:
    no_such_target = ('target = "lygus"', 'target = "oldbug"')
    assert the_fault(book=(no_such_target,)).path == "book level lygus-sheet.target"
    mended = level(
        "lygus-sheet", 'target = "lygus"\ncount = { adult = 1, nymph = 1 }\nmethod = "beat sheet"', stage="[]"
    )
    assert faults_with(mended, book=(no_such_target,)) == ()


def test_a_row_of_a_book_says_its_source_and_whether_it_is_verified() -> None:
    found = faults_with(book=(('source = "invented"\nyear = 2020\nverified = true', ""),))
    assert [fault.path for fault in found] == [
        "book level lygus-sheet.source",
        "book level lygus-sheet.verified",
    ]


def test_a_book_that_cannot_be_found_is_told_with_the_other_faults(tmp_path: Path) -> None:
    file = tmp_path / "season.toml"
    file.write_text(
        edited(PLAIN.season, ("plain_book.toml", "midsuoth"), ("sites = 3", "sites = 9")), encoding="utf-8"
    )
    found = faults_of(read_texts(file))
    assert [fault.path for fault in found] == ["season.level_book", "fields.12.sites"]
    assert "no level book midsuoth" in found[0].says


def test_a_book_that_is_no_toml_is_told_with_the_other_faults() -> None:
    found = faults_of(SeasonText(edited(PLAIN.season, ("sites = 3", "sites = 9")), "[book\n"))
    assert [fault.path for fault in found] == ["fields.12.sites", "book line 1"]


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("[season]\nname = Larkspur\n", "line 2"),
        ("a = " + "[" * 5000, "text"),
        ("a = " + "9" * 5000, "text"),
        ("a = 1e99999999999999999999", "text"),
        ("a = [", "text"),
    ],
)
def test_what_is_no_toml_is_one_fault(text: str, path: str) -> None:
    (fault,) = faults_of(SeasonText(text, ""))
    assert fault.path == path


def test_an_empty_file_lacks_its_tables() -> None:
    assert [fault.path for fault in faults_of(SeasonText("", ""))] == ["season", "people", "fields", "plans"]


@pytest.mark.parametrize("section", ["season", "people", "fields", "plans", "targets", "shares", "level"])
@pytest.mark.parametrize("junk", ["1", '"x"', "[]", "[1]", "{ a = 1 }", "[{ a = [] }]"])
def test_a_section_of_the_wrong_make_is_told_and_raises_nothing(section: str, junk: str) -> None:
    found = faults_of(SeasonText(f"{section} = {junk}\n", ""))
    assert found
    assert any(fault.path.startswith(section) for fault in found) or (section, junk) == ("level", "[]")


@pytest.mark.parametrize(
    "section", ["people.ana", "fields.12", "plans.sheets", "targets.weevil", "shares.eggs"]
)
def test_a_table_of_the_wrong_make_is_told_under_its_path(section: str) -> None:
    top, key = section.split(".")
    other = replace(PLAIN, season=f"{top} = {{ {key} = 1 }}")
    assert Fault(section, "This must be a table.") in faults_of(other)


JUNK = (
    "0",
    "-1",
    "true",
    "nan",
    "1e30",
    '""',
    '"x"',
    "[]",
    "[[]]",
    '["x", 1]',
    "{}",
    '{ x = "y" }',
    "1979-05-27",
    "07:32:00",
)


@pytest.mark.parametrize("junk", JUNK)
def test_whatever_stands_at_a_key_nothing_raises(junk: str) -> None:
    for which in ("season", "book"):
        lines = getattr(PLAIN, which).splitlines()
        for place, line in enumerate(lines):
            key, equals, _ = line.partition(" = ")
            if equals:
                other = "\n".join([*lines[:place], f"{key} = {junk}", *lines[place + 1 :]])
                for fault in faults_of(replace(PLAIN, **{which: other})):
                    assert fault.path
                    assert fault.says.endswith((".", "?")), str(fault)
