"""A round that goes on over several days: what was counted stays counted; only a correction takes a standing away."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from bot.rules import VisitFacts, visit_that_counts
from tests.talk import Talk, talking, to
from tests.test_rules_totals import make_plan, make_visit

OPAL = "+12705550130"
WEDNESDAY = date(2027, 7, 7)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path) as open_talk:
        yield open_talk


def test_one_stray_text_of_the_next_day_leaves_a_finished_site_in_the_mean_of_its_field(talk: Talk) -> None:
    talk.says("luis", "09:00", "121 1-9 0 / 10 LN12")
    assert talk.show(12)["levels"][0]["density"] == 2.0
    talk.says("luis", "2027-07-07T09:00", "121 1 LN9")
    level = talk.show(12, WEDNESDAY)["levels"][0]
    assert (level["sites_in"], level["density"]) == (1, 2.0)
    talk.says("luis", "2027-07-07T09:30", "121 2-10 0")
    level = talk.show(12, WEDNESDAY)["levels"][0]
    assert (level["sites_in"], level["density"]) == (1, 1.5), (
        "the newest finished visit is the one that counts"
    )


def test_a_new_visit_that_has_only_begun_takes_no_alert_back(talk: Talk) -> None:
    """A field that was certain stays above; only a correction takes that away (standing.md, A field)."""
    nine = " / ".join(f"{number} LN7" for number in range(1, 10))  # 63 on the field's 90 row feet: 3.5 per 5
    assert OPAL in dict(to(talk.says("luis", "09:00", f"121 {nine}"), "alert"))
    caused = talk.says("luis", "2027-07-07T09:00", "121 1 0")
    assert to(caused, "alert") == []
    level = talk.show(12, WEDNESDAY)["levels"][0]
    assert (level["standing"], level["certain"]) == ("above", True)


def test_squares_that_halved_a_level_do_not_grow_old_within_the_round(tmp_path: Path) -> None:
    """Squares of the 7th day before the round began are good for all of it (standing.md, Retention)."""
    bloom_never = ("first_bloom = 2027-06-28", "first_bloom = 2027-07-28")
    with talking(tmp_path, "talk.toml", bloom_never) as talk:
        talk.says("june", "2027-06-29T09:00", "12 SQ 70 100")
        caused = talk.says("ana", "09:00", "121 1 LA1 / 2-4 0")
        caused += talk.says("ana", "09:10", "123 1 LA1 / 2-4 0")
        assert talk.show(12)["retention"] == {"n": 70, "of": 100}
        caused += talk.says("ana", "2027-07-07T09:00", "125 1 0")
        assert talk.show(12, WEDNESDAY)["retention"] == {"n": 70, "of": 100}
        assert not any("CORRECTED" in text for _, text in to(caused, "alert"))


@pytest.mark.parametrize(
    ("visits", "counts"),
    [
        ("done open", 0),
        ("done done", 1),
        ("open done open", 1),
        ("fuller open", 0),
        ("open fuller", 1),
        ("open open", 0),
        ("fuller skipped", 1),
        ("skipped open", 1),
        ("short open", 0),
    ],
)
def test_a_site_counts_by_one_visit_of_its_round(visits: str, counts: int) -> None:
    kinds = {
        "open": visit_of(1),
        "fuller": visit_of(2),
        "done": visit_of(4),
        "short": visit_of(1, short=True),
        "skipped": visit_of(0, skipped=True),
    }
    all_ = [replace(kinds[word], day=date(2027, 7, 5 + place)) for place, word in enumerate(visits.split())]
    assert visit_that_counts(all_) is all_[counts]


def visit_of(samples: int, *, short: bool = False, skipped: bool = False) -> VisitFacts:
    """A visit of a plan of four sheets, with so many in."""
    return make_visit([{}] * samples, plan=make_plan(samples=4), short=short, skipped=skipped)
