"""The gallery of replies: nothing said to people changes without its pages; every problem has its case."""

import pytest

from parsing import LANGUAGES, TEXT_SEPTETS, fits, septets
from tests.studies.replies import PAGES, not_yet, page, tellings, without_a_case
from tests.studies.telling import GALLERY, Telling

MOST_DIGEST_TEXTS = 3
"""texts.md, What comes back: one text, and at most three for a digest."""

either_language = pytest.mark.parametrize("language", LANGUAGES)
both_folders = pytest.mark.parametrize("folder", ["cases", "errors"])


def told_in(folder: str, language: str) -> list[Telling]:
    """Every case of a folder, told in a language."""
    return [one for _, told in tellings(folder, language) for one in told]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_shows_the_replies_as_they_are_sent(name: str) -> None:
    folder, language = PAGES[name]
    written = (GALLERY / name).read_text(encoding="utf-8")
    assert page(folder, language) == written, "run python -m tests.studies.replies, and read what changed"


@both_folders
@either_language
def test_every_text_is_one_text_of_at_most_160_septets(folder: str, language: str) -> None:
    too_long = {
        text: septets(text)
        for one in told_in(folder, language)
        for _, text in one.texts
        if not fits(text) or septets(text) > TEXT_SEPTETS
    }
    assert not too_long


@either_language
def test_a_digest_is_at_most_three_texts(language: str) -> None:
    for one in told_in("cases", language):
        for _, happened in one.parts:
            for step in happened:
                to = [person for person, purpose, _ in step.caused if purpose == "digest"]
                assert max(map(to.count, to), default=0) <= MOST_DIGEST_TEXTS, one.case.title


def test_every_problem_and_every_refusal_has_a_case() -> None:
    assert without_a_case() == []


@either_language
def test_the_sentence_that_a_case_is_there_for_comes(language: str) -> None:
    assert not_yet(language) == []


@both_folders
def test_no_two_cases_have_one_title(folder: str) -> None:
    for language in LANGUAGES:
        titles = [one.case.title[language] for one in told_in(folder, language)]
        assert len(set(titles)) == len(titles), sorted({one for one in titles if titles.count(one) > 1})
