"""Refusals: what is wrong, that nothing is stored, what to send; one text whatever was sent."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.replies import Around, Speech, refusal
from parsing import Card, Kind, Problem
from tests.test_replies import columns_known, languages, one_text

words_sent = st.text(alphabet="ABCFLNX0123456789 /.-", min_size=1, max_size=300)


@pytest.mark.parametrize("kind", Kind)
@settings(max_examples=60, deadline=None)
@given(
    said=languages,
    words=words_sent,
    form=words_sent,
    number=st.integers(31, 9999),
    sample=st.integers(1, 30),
    codes=st.lists(
        st.sampled_from([column.code for column in columns_known]), min_size=1, max_size=8, unique=True
    ),
    own=st.lists(st.integers(31, 9999), max_size=30),
)
def test_a_refusal_is_one_text_that_says_that_nothing_is_stored(
    kind: Kind,
    said: Speech,
    words: str,
    form: str,
    number: int,
    sample: int,
    codes: list[str],
    own: list[int],
) -> None:
    match kind:
        case Kind.WRONG_QUANTITY | Kind.PACKED_LENGTH | Kind.TOTALS_QUANTITY:
            words = str(len(form))
        case Kind.SHARE_NEEDS_TWO | Kind.SHARE_PERCENT | Kind.SHARE_OVER | Kind.SHARE_OF_NONE:
            form = "SQ"
        case _:
            pass
    sites = tuple(int(f"{number}{last}") for last in range(1, 10))
    around = Around(number, number, sites, Card(tuple(codes), 30, 40), tuple(own))
    problem = Problem(kind, (0, 1), " ".join(words.split()) or "A", form, sample)
    text = refusal(said, problem, around)
    one_text(text)
    nothing = {
        "en": r"[Nn]othing (stored|changed)|NOT stored|neither is stored",
        "es": r"[Nn]o se guardo (nada|ninguna)|NO se guardo|No cambia nada",
    }
    assert re.search(nothing[said.language], text), text
