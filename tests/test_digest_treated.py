"""What the evening's account says once a treated field was looked at again: of counts, and never of entering it."""

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from bot.digests import Letter, digest_letter, letter_html, letter_plain
from bot.digests.treated import LONGEST_NAME
from bot.field_book import FieldBook
from bot.replies import septets_of, speech
from parsing import LANGUAGES, TEXT_SEPTETS
from tests.talk import Talk, talking, to
from tests.test_field_book_treatments import BLOOM, CHECK, SITES, count, day
from tests.test_wording import WORDINGS

JUNE = "+12705550120"
HEADS = {"en": "AFTER TREATMENT, only counts: ", "es": "TRAS APLICACION, solo conteos: "}


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as opened:
        yield opened


@pytest.fixture
def checked(tmp_path: Path) -> Iterator[Talk]:
    """A season in which field 14 has field 16 as its untreated check."""
    with talking(tmp_path, "talk.toml", CHECK, BLOOM) as opened:
        yield opened


def treat(talk: Talk, before: int, after: int, field: int = 14) -> None:
    """Count a field on July 6, treat it that day, look at it again on July 10."""
    count(talk, field, day(6), before)
    talk.says("opal", day(6, "12:00"), f"{field} SPRAYED 24")
    count(talk, field, day(10), after)


def evening(talk: Talk, of: int, who: str = JUNE) -> str:
    """Give a reader's digest of a day of July as one text."""
    return " ".join(text for to_, text in to(talk.strikes(day(of, "18:30")), "digest") if to_ == who)


def after_part(talk: Talk, of: int, language: str = "en") -> str:
    """Give what the digest says after treatments, empty where it says nothing."""
    said = re.sub(r"\b[23]/[23]\. ", "", evening(talk, of))
    _, head, rest = said.partition(HEADS[language])
    return rest.split(". ")[0].rstrip(".") if head else ""


def letter(talk: Talk, of: int, language: str = "en") -> Letter:
    with talk.store.read() as session:
        at = datetime.fromisoformat(f"{day(of, '18:30')}-05:00")
        book = FieldBook(session, talk.hand.season, at)
        return digest_letter(book, speech(language), tuple(book.season.fields.values()))


def letter_items(talk: Talk, of: int, language: str = "en") -> tuple[str, ...]:
    heading = WORDINGS[language]["mail"]["after"]
    return next((part.items for part in letter(talk, of, language).parts if part.heading == heading), ())


def test_a_story_of_a_field_above_treated_and_looked_at_again(talk: Talk) -> None:
    count(talk, 14, day(6), 30)
    assert "14 lygus 1.67 x level" in evening(talk, 6)
    said = talk.reply("opal", day(6, "19:00"), "14 SPRAYED 24")
    assert "KEEP OUT from now, at least until Wed Jul 7 7:00 PM (24 h)" in said
    assert after_part(talk, 8) == ""
    assert "14 sheet 10, recheck." in talk.reply("luis", day(9, "07:00"), "PLAN")
    count(talk, 14, day(9), 2)
    assert after_part(talk, 9) == "14 lygus 5 to 0.33 by day 3, 93 % fewer, no untreated check"
    assert after_part(talk, 10) == "", "it is said once"
    talk.reply("luis", day(11, "10:00"), "FRI 14 FIX 10 LN8")
    assert after_part(talk, 11) == (
        "14 lygus 5 to 1.5 by day 3, no difference shown, no untreated check (changed)"
    )
    assert after_part(talk, 12) == ""


def test_a_recheck_that_shows_no_difference_prints_no_percent(talk: Talk) -> None:
    treat(talk, 3, 1)
    assert after_part(talk, 10) == "14 lygus 0.5 to 0.17 by day 4, no difference shown, no untreated check"


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (10, 30, "14 lygus 1.67 to 5 by day 4, MORE than before, no untreated check"),
        (30, 0, "14 lygus 5 to 0 by day 4, 100 % fewer, no untreated check"),
        (0, 3, "14 lygus 0 to 0.5 by day 4, none before"),
        (0, 0, "14 lygus 0 to 0 by day 4, none before"),
    ],
)
def test_more_none_left_and_none_before_are_said_plainly(
    talk: Talk, before: int, after: int, said: str
) -> None:
    treat(talk, before, after)
    assert after_part(talk, 10) == said


def test_nearly_all_gone_is_never_said_to_be_all(talk: Talk) -> None:
    treat(talk, 390, 1)
    assert "99 % fewer" in after_part(talk, 10)


def test_a_printed_figure_stays_on_its_side_of_the_level(tmp_path: Path) -> None:
    efforts = ("each = { row_ft = 3 }", "each = { row_ft = 2.5033 }")
    with talking(tmp_path, "talk.toml", efforts) as talk:
        treat(talk, 30, 15)
        assert "14 lygus 5.99 to 2.996 by day 4" in after_part(talk, 10)


def test_a_check_that_was_counted_is_named_with_its_way(checked: Talk) -> None:
    count(checked, 16, day(6), 40)
    count(checked, 16, day(10), 60)
    treat(checked, 50, 5)
    assert after_part(checked, 10) == "14 lygus 8.33 to 0.83 by day 4, 93 % fewer against check 16 (H-T)"


def test_without_counts_before_the_check_still_tells(checked: Talk) -> None:
    checked.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(checked, 16, day(10), 60)
    count(checked, 14, day(10, "09:00"), 5)
    said = after_part(checked, 10)
    assert said == "14 lygus 0.83 by day 4, 92 % fewer against check 16 (Abbott)"


def test_a_check_that_was_shut_is_said_to_be_left_out(checked: Talk) -> None:
    count(checked, 16, day(6), 40)
    checked.says("ramon", day(7), "16 SPRAYED 24")
    treat(checked, 50, 5)
    count(checked, 16, day(10), 60)
    said = after_part(checked, 10)
    assert said.startswith("14 lygus 8.33 to 0.83 by day 4, 90 % fewer, check 16 shut then")


def test_a_check_that_is_counted_a_day_later_changes_what_was_said(checked: Talk) -> None:
    count(checked, 16, day(6), 40)
    treat(checked, 50, 5)
    assert after_part(checked, 10).endswith("90 % fewer, check 16 not counted")
    count(checked, 16, day(11), 60)
    assert after_part(checked, 11).endswith("93 % fewer against check 16 (H-T)")


def test_a_field_is_said_once_all_its_sites_are_over(talk: Talk) -> None:
    for site in SITES:
        count(talk, site, day(6), 30)
    talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
    for site in SITES[:2]:
        count(talk, site, day(9), 2)
    assert after_part(talk, 9) == ""
    talk.reply("luis", day(10), "125 SKIP mud")
    assert after_part(talk, 10) == "12 lygus 5 to 0.33 by day 3 (2/3 sites), 93 % fewer, no untreated check"


def test_sums_bear_no_percent(talk: Talk) -> None:
    talk.reply("luis", day(6), "14 TOTAL 10 LN30")
    talk.says("opal", day(6, "12:00"), "14 SPRAYED 24")
    count(talk, 14, day(10), 2)
    assert after_part(talk, 10) == "14 lygus 5 to 0.33 by day 4, too little for a percent"


def test_another_method_is_not_compared(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", ("first_bloom = 2027-06-28", "first_bloom = 2027-07-08")) as talk:
        for site in SITES:
            talk.reply("luis", day(6), f"{site} 1 LA3 / 2 LA2 / 3 LA2 / 4 LA9")
        talk.says("opal", day(6, "12:00"), "12 SPRAYED 24")
        for site in SITES:
            count(talk, site, day(9), 2)
        assert after_part(talk, 9) == "12 lygus: not compared, counted another way before"


def test_it_stands_right_behind_the_fields_kept_shut_and_today_says_it_too(talk: Talk) -> None:
    talk.says("luis", day(10), "31 POSTED")
    treat(talk, 30, 2)
    said = evening(talk, 10)
    assert said.index("KEEP OUT: 31") < said.index("AFTER TREATMENT") < said.index("Sites done")
    today = " ".join(one["text"] for one in talk.says("june", day(10, "18:40"), "TODAY"))
    assert "14 lygus 5 to 0.33" in today


def test_a_field_that_is_shut_again_keeps_its_keep_out(talk: Talk) -> None:
    treat(talk, 30, 2)
    talk.says("luis", day(10, "10:00"), "14 POSTED")
    assert "KEEP OUT: 14 hours not given." in evening(talk, 10)


def test_a_leader_hears_it_of_the_fields_of_his_crew_alone(talk: Talk) -> None:
    treat(talk, 30, 2)
    for site in SITES:
        count(talk, site, day(6), 30)
    talk.says("opal", day(6, "13:00"), "12 SPRAYED 24")
    for site in SITES:
        count(talk, site, day(10), 2)
    talk.strikes(day(10, "18:30"))
    said = " ".join(one["text"] for one in talk.says("beto", day(10, "18:40"), "TODAY"))
    assert "12 lygus 5 to 0.33" in said
    assert "14 lygus" not in said


def test_growers_and_scouts_are_not_told_by_it(talk: Talk) -> None:
    treat(talk, 30, 2)
    told = [who for who, text in to(talk.strikes(day(10, "18:30")), "digest") if "AFTER" in text]
    assert set(told) == {JUNE}


def test_the_letter_says_it_in_full_in_both_languages(checked: Talk) -> None:
    treat(checked, 30, 2)
    (english,) = letter_items(checked, 10)
    assert english == (
        "14 Pump House, treated Jul 6: lygus 5 per 5 row ft on Jul 6, 0.33 on Jul 10, day 4: 93 % fewer "
        "(80 % interval 81 to 98). Before and after only: check 16 was not counted in those days"
    )
    (spanish,) = letter_items(checked, 10, "es")
    assert spanish == (
        "14 Pump House, aplicación el 6 jul: lygus 5 por 5 pies de surco el 6 jul, 0.33 el 10 jul, día 4: 93 % menos "
        "(intervalo de 80 %: de 81 a 98). Solo antes y después: el testigo 16 no se contó en esos días"
    )


def test_the_letter_gives_the_check_and_what_its_way_takes_for_granted(checked: Talk) -> None:
    count(checked, 16, day(10), 60)
    treat(checked, 50, 5)
    (said,) = letter_items(checked, 10)
    assert "92 % fewer" in said
    assert said.endswith("by Abbott, untreated check 16 having 10. This takes it that both began alike")


@pytest.mark.parametrize("language", LANGUAGES)
def test_both_parts_of_the_letter_hold_it(checked: Talk, language: str) -> None:
    count(checked, 16, day(6), 40)
    count(checked, 16, day(10), 60)
    treat(checked, 50, 5)
    written = letter(checked, 10, language)
    (said,) = letter_items(checked, 10, language)
    assert said in " ".join(letter_plain(written).split())
    assert said in letter_html(written)
    assert "Henderson-Tilton" in said


ENTERING = re.compile(r"(?i)\b(enter|go in|safe|clear|open|entr[ae]r?|libre|segur[oa])\b")


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_word_of_it_is_about_entering_a_field(language: str) -> None:
    wording = WORDINGS[language]
    said = [text for name, text in wording["digest"].items() if name.startswith("after")]
    said += [text for name, text in wording["written"].items() if name.startswith("digest.after")]
    # that a check was shut is said by the words that stand fast
    assert not [text for text in map(str, said) if ENTERING.search(text.replace("NO ENTRE", ""))]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_item_stands_on_one_page_with_its_heading(language: str) -> None:
    words = {name: str(text) for name, text in WORDINGS[language]["digest"].items()}
    values = {"n": 2, "all": 3, "check": 1234, "way": words["after_ht"], "percent": 99}
    bases = ("plain", "by", "check_shut", "check_not_counted", "check_other", "check_none")
    founds = [
        words[f"after_{found}"].format(**values) + words[f"after_{basis}"].format(**values)
        for found in ("fewer", "more", "no_difference")
        for basis in bases
    ]
    for found in [*founds, words["after_no_interval"], words["after_none_before"]]:
        item = words["after_item"].format(
            field=123,
            target="x" * LONGEST_NAME,
            before="12.33",
            after="10.33",
            day=14,
            sites=words["after_sites"].format(**values),
            found=found,
        )
        said = words["after"].format(items=words["after_changed"].format(item=item))
        assert septets_of(f"2/3. {said};") <= TEXT_SEPTETS


def test_a_target_of_a_long_name_is_said_by_its_codes(tmp_path: Path) -> None:
    more = '[plans.sheets]\nmethod = "beat sheet"'
    named = (
        '[targets.lygus]\nname = "western tarnished plant bug"\ncolumns = { LA = "adult", LN = "nymph" }\n\n'
        + more
    )
    with talking(tmp_path, "talk.toml", (more, named)) as talk:
        treat(talk, 30, 2)
        assert "14 l" in after_part(talk, 10).lower()
