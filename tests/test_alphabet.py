"""The GSM 7-bit alphabet against two codecs that others wrote, and folding, counting and splitting."""

import unicodedata
from collections.abc import Callable
from itertools import pairwise

import gsm0338
import gsmcodecs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from parsing.alphabet import (
    PART_SEPTETS,
    TEXT_SEPTETS,
    decode,
    encode,
    fits,
    fold,
    is_full_part,
    septets,
    split,
)

# Two tables made independently of ours and of each other: gsm0338 1.1 (codec "gsm03.38") and gsmcodecs 1.0
# (codec "gsm23.038", default alphabet and default extension), both of 3GPP TS 23.038. All three have the
# capital Ç at 0x09, where some copies of the Unicode mapping file GSM0338.TXT have the small one.
ORACLES = {"gsm03.38": gsm0338.Codec(), "gsm23.038": gsmcodecs.Codec()}

ESCAPE = 0x1B
MAIN_CODES = [bytes([code]) for code in range(0x80) if code != ESCAPE]
# 3GPP TS 23.038 clause 6.2.1.1: form feed ^ { } \ [ ~ ] | €
EXTENSION_CODES = [bytes([ESCAPE, code]) for code in b"\x0a\x14\x28\x29\x2f\x3c\x3d\x3e\x40\x65"]

ALPHABET = "".join(decode(code) for code in MAIN_CODES + EXTENSION_CODES)
EXTENSION = "".join(decode(code) for code in EXTENSION_CODES)

in_the_table = st.text(st.sampled_from(ALPHABET))
# As long as several parts, and rich in the characters that may not be parted.
long_texts = st.lists(st.text(st.sampled_from("a1 ñ" + EXTENSION), max_size=120), max_size=8).map("".join)


@pytest.mark.parametrize("codec", ORACLES)
@pytest.mark.parametrize("code", MAIN_CODES + EXTENSION_CODES, ids=bytes.hex)
def test_every_code_of_the_table_is_read_and_written_as_other_codecs_do(code: bytes, codec: str) -> None:
    char = ORACLES[codec].decode(code)[0]

    assert decode(code) == char
    assert encode(char) == code == ORACLES[codec].encode(char)[0]
    assert septets(char) == len(code)


def test_the_table_has_the_capital_cedilla_and_not_the_small_one() -> None:
    assert decode(b"\x09") == "Ç"
    assert not fits("ç")


def test_the_alphabet_has_127_characters_of_one_septet_and_ten_of_two() -> None:
    assert len(set(ALPHABET)) == 127 + 10
    assert [septets(char) for char in EXTENSION] == [2] * 10


def test_every_other_character_of_the_basic_plane_is_refused() -> None:
    outside = [chr(point) for point in range(0x10000) if chr(point) not in ALPHABET]

    assert len(outside) == 0x10000 - 137
    for char in outside:
        assert not fits(char)
        with pytest.raises(ValueError, match="is not in the GSM 7-bit alphabet"):
            encode(char)


@pytest.mark.parametrize("refusing", [septets, encode, split])
def test_the_first_character_outside_is_named(refusing: Callable[[str], object]) -> None:
    with pytest.raises(ValueError, match=r"^'í' \(U\+00ED, character 3\) is not in the GSM 7-bit alphabet$"):
        refusing("maíz y día")


def test_an_escape_is_no_character_of_a_text() -> None:
    assert not fits("\x1b")


@pytest.mark.parametrize(
    ("data", "text"),
    [
        pytest.param(b"a\x1bAb", "aAb", id="a code that means nothing after an escape is of the main table"),
        pytest.param(b"a\x1b\x1bb", "a b", id="two escapes are a blank"),
        pytest.param(b"a\x1b\x1be", "a e", id="the second of two escapes escapes nothing"),
        pytest.param(b"ab\x1b", "ab", id="an escape at the end is dropped"),
        pytest.param(b"a\x80\xff", "a\ufffd\ufffd", id="octets of eight bits cannot be read"),
        pytest.param(b"a\x1b\xe5", "a\ufffd", id="nor after an escape"),
        pytest.param(b"", "", id="nothing is nothing"),
    ],
)
def test_what_no_phone_should_have_sent_is_still_read(data: bytes, text: str) -> None:
    # 3GPP TS 23.038 clause 6.2.1.1, notes on the extension table.
    assert decode(data) == text


@given(st.binary())
def test_any_octets_can_be_read(data: bytes) -> None:
    assert set(decode(data)) <= {*ALPHABET, "\ufffd"}


@given(in_the_table)
def test_what_is_written_reads_back_the_same(text: str) -> None:
    assert decode(encode(text)) == text
    assert len(encode(text)) == septets(text)


@given(in_the_table)
def test_a_text_is_written_as_other_codecs_write_it(text: str) -> None:
    for oracle in ORACLES.values():
        assert encode(text) == oracle.encode(text)[0]


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        # The two languages: what the table has stays, what it lacks loses its accent (3GPP TS 23.038).
        ("é É ñ Ñ ü Ü ¿ ¡", "é É ñ Ñ ü Ü ¿ ¡"),
        ("á í ó ú Á Í Ó Ú", "a i o u A I O U"),
        ("ç Ç", "c Ç"),
        ("¿Cuántos más en el maíz, señor Peña? ¡Día 3!", "¿Cuantos mas en el maiz, señor Peña? ¡Dia 3!"),
        ("1º 2ª", "1o 2a"),
        ("«sí»", '"si"'),
        # What phones put in unasked.
        ("it’s ‘so’", "it's 'so'"),
        ("“so” „so‟ 5′ 6″", '"so" "so" 5\' 6"'),
        ("4–7 — 4‐7 4‑7 −3", "4-7 - 4-7 4-7 -3"),
        ("wait…", "wait..."),
        ("121\u00a03\u2009FA2\u3000LN1\t0", "121 3 FA2 LN1 0"),
        ("121 3\u2028121 4", "121 3\n121 4"),
        ("12\u200b1\ufeff so\u00adfar", "121 sofar"),
        ("１２１　３　ＦＡ２", "121 3 FA2"),
        ("1\ufe0f\u20e32\ufe0f\u20e3", "12"),
        ("121 👍", "121 ?"),
        # A figure stays what it was.
        ("3 × 6", "3 x 6"),
        ("1½ acres", "1 1/2 acres"),
        ("10²", "10 2"),
        ("5 per m²", "5 per m2"),
        ("95°F", "95F"),
        ("≥ 3, ≤ 4, 3 ± 1", ">= 3, <= 4, 3 +- 1"),
        ("≠ 3", "? 3"),
        ("٣", "3"),
        # Letters of other names.
        ("Łukasz Dvořák Cœur", "Lukasz Dvorak Coeur"),
        ("한", "?"),
        ("\x1b\x00", "??"),
    ],
)
def test_what_the_alphabet_lacks_becomes_the_nearest_it_has(text: str, folded: str) -> None:
    assert fold(text) == folded


@pytest.mark.parametrize(
    ("text", "folded"), [("ñéüÑÉÜ", "ñéüÑÉÜ"), ("áíóúÁÍÓÚ", "aiouAIOU"), ("ç", "c"), ("ñ\u0301", "ñ")]
)
def test_letters_and_their_marks_sent_apart_are_one_letter(text: str, folded: str) -> None:
    apart = unicodedata.normalize("NFD", text)

    assert apart != text
    assert not fits(apart)
    assert fold(apart) == folded


def test_folding_makes_one_text_of_a_spanish_reply() -> None:
    reply = (
        "121 LISTO 10 de 10. Gusano 3.1 por 100 plantas, límite 3.0: ARRIBA. "
        "¿Mañana otra vez? Ya avisé a Peña. El próximo sitio está más allá del maíz."
    )

    assert not fits(reply)
    assert fits(fold(reply))
    assert "¿Mañana otra vez? Ya avisé a Peña. El proximo sitio esta mas alla del maiz." in fold(reply)


@given(st.text(st.characters(exclude_categories=())))
def test_whatever_is_folded_is_in_the_alphabet_and_folds_to_itself(text: str) -> None:
    folded = fold(text)

    assert set(folded) <= set(ALPHABET)
    assert fold(folded) == folded
    assert decode(encode(folded)) == folded


@given(in_the_table)
def test_what_the_alphabet_has_is_left_as_it_is(text: str) -> None:
    assert fold(text) == text


@given(st.text())
def test_folding_does_not_ask_how_letters_were_put_together(text: str) -> None:
    assert fold(unicodedata.normalize("NFD", text)) == fold(text)


def test_a_text_fits_up_to_its_last_septet() -> None:
    assert fits("a" * 160)
    assert not fits("a" * 161)
    assert fits("a" * 158 + "€")
    assert not fits("a" * 159 + "€")
    assert fits("abc", limit=3)
    assert not fits("abc", limit=2)
    assert not fits("á")


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        pytest.param("", [0], id="nothing"),
        pytest.param("a" * 160, [160], id="a full text"),
        pytest.param("a" * 161, [153, 8], id="one more"),
        pytest.param("a" * 306, [153, 153], id="two full parts"),
        pytest.param("a" * 307, [153, 153, 1], id="one more than two"),
        pytest.param("€" * 80, [160], id="a full text of escapes"),
        # 306 septets that need three parts: an escape may not be parted from its code
        # (3GPP TS 23.040 clause 9.2.3.24.1).
        pytest.param("a" * 152 + "€" + "a" * 152, [152, 153, 1], id="an escape on the edge"),
        pytest.param("€" * 153, [152, 152, 2], id="escapes only"),
    ],
)
def test_a_long_text_goes_out_in_parts_that_keep_escapes_whole(text: str, lengths: list[int]) -> None:
    parts = split(text)

    assert [septets(part) for part in parts] == lengths
    assert "".join(parts) == text


@given(long_texts)
def test_parts_join_to_the_text_and_each_is_as_full_as_it_can_be(text: str) -> None:
    parts = split(text)

    assert "".join(parts) == text
    assert (len(parts) == 1) == (septets(text) <= TEXT_SEPTETS)
    if len(parts) > 1:
        assert all(parts)
        assert all(septets(part) <= PART_SEPTETS for part in parts)
        for part, following in pairwise(parts):
            assert septets(part + following[0]) > PART_SEPTETS


@pytest.mark.parametrize(
    ("text", "full"),
    [
        # 3GPP TS 23.040 clause 9.2.3.24.1: 153 septets or 67 UTF-16 units beside the 6 octets of an 8-bit
        # reference; 7 octets of a 16-bit one leave 152 or 66.
        ("1" * 151, False),
        ("1" * 152, True),
        ("1" * 153, True),
        ("1" * 154, False),
        ("1" * 160, False),
        ("1" * 151 + "€", True),
        ("1" * 66, False),
        ("1" * 67, False),
        ("í" + "1" * 64, False),
        ("í" + "1" * 65, True),
        ("í" + "1" * 66, True),
        ("í" + "1" * 67, False),
        ("👍" + "1" * 64, True),
        ("👍" + "1" * 66, False),
        ("1" * 66 + "\ud83d", True),
        ("í" * 152, False),
        ("", False),
    ],
)
def test_a_text_as_long_as_a_full_part_may_have_been_cut(text: str, full: bool) -> None:
    assert is_full_part(text) is full


@given(long_texts)
def test_whatever_part_of_ours_is_full_is_known_as_one(text: str) -> None:
    assert all(is_full_part(part) for part in split(text)[:-1])
