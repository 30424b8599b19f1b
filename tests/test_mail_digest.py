"""The digest by e-mail: to whom, when, once; the same facts as the texts, whole, in both parts."""

import re
from collections.abc import Iterator
from datetime import datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.digests import Letter, digest_letter, letter_html, letter_plain, put_due_mails
from bot.field_book import FieldBook
from bot.mailing import Mail, composed, mail_address
from bot.replies import speech
from parsing import LANGUAGES
from storage import DatabaseUnavailable, MailRow, outbox_beginning
from tests.talk import DAY, ZONE, Talk, talking, to

ADDRESSES = (
    (
        '[people.june]\nname = "June Abbot"',
        '[people.june]\nemail = "june@larkspur.example"\nname = "June Abbot"',
    ),
    (
        '[people.opal]\nname = "Opal Greer"',
        '[people.opal]\nemail = "opal@larkspur.example"\nname = "Opal Greer"',
    ),
)
EVENING = datetime(2027, 7, 6, 18, 30, tzinfo=ZONE)


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Talk]:
    with talking(tmp_path, "talk.toml", *ADDRESSES) as opened:
        yield opened


def mails(talk: Talk) -> list[MailRow]:
    with talk.store.read() as session:
        return list(session.scalars(sa.select(MailRow).order_by(MailRow.id)))


def letter(talk: Talk, language: str = "en", at: datetime = EVENING) -> Letter:
    with talk.store.read() as session:
        book = FieldBook(session, talk.hand.season, at)
        return digest_letter(book, speech(language), tuple(book.season.fields.values()))


def fill(talk: Talk) -> None:
    """Let a day pass: 14 above and not read, 12 unfinished, a site skipped, an odd reason, a field kept shut."""
    talk.says("luis", "08:00", "14 " + " / ".join(f"{number} LN3 FA1" for number in range(1, 11)))
    talk.says("ana", "09:00", "121 " + " / ".join(f"{number} LA1 LN2" for number in range(1, 11)))
    talk.says("ana", "10:00", "123 " + " / ".join(f"{number} LN2" for number in range(1, 5)))
    talk.says("ana", "10:30", "123 SHORT <b>lodo</b> & ñandú")
    talk.says("luis", "11:00", "27 SKIP wet")
    talk.says("luis", "11:30", "31 POSTED")


class Read(HTMLParser):
    """What a page says, and what it would fetch."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []
        self.linked: list[str] = []
        self._unseen = 0
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.linked += [f"{tag} {name}" for name, _ in attrs if name in ("src", "href", "srcset", "action")]
        self._unseen += tag in ("style", "title")

    def handle_endtag(self, tag: str) -> None:
        self._unseen -= tag in ("style", "title")

    def handle_data(self, data: str) -> None:
        if not self._unseen:
            self.words += data.split()


def test_the_digest_goes_by_mail_once_per_person_and_local_day(talk: Talk) -> None:
    fill(talk)
    talk.strikes("18:29")
    assert mails(talk) == []
    for at in ("18:30", "18:31", "23:59"):
        talk.strikes(at)
    (row,) = mails(talk)
    assert (row.key, row.recipient, row.language) == (
        f"digest-mail:june:{DAY}",
        "june@larkspur.example",
        "en",
    )
    assert row.subject == "Larkspur County cotton 2027: Tue Jul 6, ABOVE in 14"
    talk.strikes("2027-07-07T18:30")
    assert [row.key for row in mails(talk)] == [f"digest-mail:june:2027-07-0{day}" for day in (6, 7)]


def test_only_those_who_get_the_texts_get_the_mail(talk: Talk) -> None:
    talk.strikes("18:30")
    assert [row.person for row in mails(talk)] == ["june"]  # Opal is a grower, Beto leads and has no address


def test_the_clock_prints_no_mail_among_the_texts(talk: Talk, tmp_path: Path) -> None:
    (folder := tmp_path / "without").mkdir()
    fill(talk)
    with talking(folder) as without:
        fill(without)
        assert talk.strikes("18:30") == without.strikes("18:30")
        assert mails(without) == []
    assert len(mails(talk)) == 1


def test_a_phone_that_opted_out_still_has_its_mail(talk: Talk) -> None:
    talk.says("june", "12:00", "STOP")
    assert "+12705550120" not in dict(to(talk.strikes("18:30"), "digest"))
    assert [row.person for row in mails(talk)] == ["june"]


def test_quiet_hours_do_not_hold_mail(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", *ADDRESSES) as talk:
        talk.strikes("23:00")
        (row,) = mails(talk)
        assert row.due_at == datetime(2027, 7, 6, 23, tzinfo=ZONE)


def test_the_mail_is_in_the_language_that_its_reader_chose_by_text(talk: Talk) -> None:
    talk.says("june", "12:00", "ESPANOL")
    talk.strikes("18:30")
    (row,) = mails(talk)
    assert row.language == "es"
    assert "Martes 6 de julio de 2027" in row.plain


def test_a_mail_that_cannot_be_kept_takes_no_text_back(talk: Talk) -> None:
    with talk.store.read() as session:
        session.execute(sa.text("DROP TABLE mails"))
        session.commit()
    with pytest.raises(DatabaseUnavailable):
        talk.strikes("18:30")
    with talk.store.read() as session:
        kept = outbox_beginning(session, f"digest:june:{DAY}:")
        assert [row.state for row in kept] == ["waiting"] * len(kept)
        assert kept


@pytest.mark.parametrize("language", LANGUAGES)
def test_both_parts_of_a_mail_say_the_same(talk: Talk, language: str) -> None:
    fill(talk)
    written = letter(talk, language)
    plain, page = letter_plain(written), Read(letter_html(written))
    heads = {part.heading: part.heading.upper() for part in written.parts if part.heading}
    heads[written.sites_heading] = written.sites_heading.upper()

    def facts(said: str) -> list[str]:
        """Words and numbers in any case, without the columns' heads, which plain text says otherwise."""
        return sorted(re.findall(r"[^\W_]+(?:[.][0-9]+)?", said.lower()))

    plain_words, html_words = facts(plain), facts(" ".join(page.words))
    columns = {word for column in written.columns for word in facts(column)}
    assert [word for word in plain_words if word not in columns] == [
        word for word in html_words if word not in columns
    ]
    assert len(plain_words) > 100


def test_the_mail_holds_every_figure_of_the_texts_and_more(talk: Talk) -> None:
    fill(talk)
    texts = " ".join(text for who, text in to(talk.strikes("18:30"), "digest") if who == "+12705550120")
    (row,) = mails(talk)
    said = " ".join(row.plain.split())
    assert "14 lygus 1.67 x level, NOT READ since 8:" in texts
    assert "14 Pump House: lygus 5 per 5 row ft, level 3, 1.67 × the level. NOT READ since 8:" in said
    for number in re.findall(r"[0-9]+(?:[.:][0-9]+)*", re.sub(r"[0-9]/[0-9]", "", texts)):
        assert re.search(rf"(?<![0-9.]){re.escape(number)}(?![0-9])", said), number
    assert "31 Ferry Bottom: hours not given" in said
    assert "Opal Greer, 270-555-0130" in said


def test_the_parts_come_in_the_order_of_the_texts(talk: Talk) -> None:
    fill(talk)
    headings = [part.heading for part in letter(talk).parts if part.heading]
    assert headings == ["Above the level", "Not done", "KEEP OUT"]


def test_the_mail_is_whole_where_three_texts_leave_something_out(talk: Talk) -> None:
    long = "the turnrow is under water from the ditch to the pump and back"
    for site in ("121", "123", "125", "14", "16", "27", "31"):
        talk.says("luis" if site in ("14", "27", "31") else "ana", "09:00", f"{site} SKIP {long} {site}")
    said = " ".join(letter_plain(letter(talk)).split())
    texts = [text for who, text in to(talk.strikes("18:30"), "digest") if who == "+12705550120"]
    assert len(texts) == 3
    assert re.search(r"and [0-9]+ more", texts[-1])
    assert said.count("not sampled") == 14  # each in the list and in the table
    assert "more" not in said


def test_a_site_is_left_out_of_the_table_only_where_nothing_was_due(talk: Talk) -> None:
    fill(talk)
    sites = [line.site for block in letter(talk).fields for line in block.lines]
    assert sites == ["121", "123", "125", "Mean of the sites", "14", "16", "27"]  # 31 is kept shut
    tomorrow = letter(talk, at=datetime(2027, 7, 7, 18, 30, tzinfo=ZONE))
    assert "14" not in [line.site for block in tomorrow.fields for line in block.lines]


def test_names_and_notes_are_words_and_never_marks_of_the_page(tmp_path: Path) -> None:
    name = 'Pump <script>alert(1)</script> & \\"House\\"'
    with talking(tmp_path, "talk.toml", *ADDRESSES, ('name = "Pump House"', f'name = "{name}"')) as talk:
        fill(talk)
        page = letter_html(letter(talk))
    read = Read(page)
    assert "script" not in read.tags
    assert "b" not in read.tags
    assert "<script>alert(1)</script>" in read.words
    assert "<b>lodo</b>" in read.words


def test_the_page_fetches_nothing_and_follows_nobody(talk: Talk) -> None:
    fill(talk)
    page = letter_html(letter(talk))
    read = Read(page)
    assert read.linked == []
    assert not {"img", "script", "link", "iframe", "a", "base", "object"} & set(read.tags)
    assert not re.search(r"https?:|url\(|@import|@font-face|cid:", page)


def test_a_day_without_anything_is_said_too(tmp_path: Path) -> None:
    with talking(tmp_path, "talk.toml", *ADDRESSES) as talk, talk.store.read() as session:
        book = FieldBook(session, talk.hand.season, EVENING)
        written = digest_letter(book, speech("en"), ())
    assert written.subject == "Larkspur County cotton 2027: Tue Jul 6"
    assert "Nothing was counted today, and nothing was due." in letter_plain(written)


def test_a_digest_fits_what_a_mail_server_takes_and_comes_back_whole(talk: Talk) -> None:
    fill(talk)
    talk.strikes("18:30")
    (row,) = mails(talk)
    mail = Mail(
        row.key, row.name, row.recipient, row.language, row.subject, row.plain, row.html, row.created_at
    )
    octets = composed(mail, mail_address("smtp://localhost", "digest@larkspur.example").sender)
    assert max(map(len, octets.split(b"\r\n"))) <= 78
    assert len(octets) < 100_000  # larger ones are cut by some readers of mail (common practice)


def test_plain_lines_are_short(talk: Talk) -> None:
    fill(talk)
    for language in LANGUAGES:
        assert max(map(len, letter_plain(letter(talk, language)).splitlines())) <= 72


def test_two_clocks_that_strike_together_put_one_mail_down(talk: Talk) -> None:
    for _ in range(2):
        talk.store.write(lambda session: put_due_mails(FieldBook(session, talk.hand.season, EVENING)))
    assert len(mails(talk)) == 1
