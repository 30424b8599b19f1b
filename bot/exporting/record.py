"""The record that all files are made from: one reading of the database, the season's names, what is left out."""

from functools import cached_property

from bot.exporting.phones import PhoneHider
from bot.field_book import FieldBook
from storage import CheckRow, InboxText, OutboxText, Round, ShareRow, Visit, every


class Record:
    """Everything of a season at one moment. Phone numbers are left out unless `phones`."""

    def __init__(self, book: FieldBook, *, phones: bool = False) -> None:
        self.book = book
        self.season = book.season
        self.phones = phones

    def name(self, key: str | None) -> str | None:
        """Give a person's name; None for nobody, and where the season no longer has the person."""
        person = self.book.person(key) if key is not None else None
        return person.name if person is not None else None

    def words(self, said: str | None) -> str | None:
        """Give words as they may leave: without phone numbers unless those were asked for."""
        return said if said is None or self.phones else self._hide(said)

    @cached_property
    def _hide(self) -> PhoneHider:
        people = (person.phone for person in self.season.people.values())
        senders = (text.sender for text in self.texts_in.values())
        receivers = (text.recipient for text in self.texts_out)
        contact = self.season.contact_number
        known = {contact if any(sign.isdigit() for sign in contact) else None, *people, *senders, *receivers}
        return PhoneHider(sorted(filter(None, known)))

    @cached_property
    def texts_in(self) -> dict[int, InboxText]:
        """The texts that came, by their number."""
        return {text.id: text for text in every(self.book.session, InboxText)}

    @cached_property
    def texts_out(self) -> list[OutboxText]:
        """The texts put down to go out."""
        return list(every(self.book.session, OutboxText))

    @cached_property
    def rounds(self) -> list[Round]:
        """The rounds of all fields."""
        found = every(self.book.session, Round)
        return sorted(found, key=lambda row: (row.field, row.first_day, row.id))

    @cached_property
    def visits(self) -> list[Visit]:
        """The visits, oldest day first, by site."""
        return sorted(every(self.book.session, Visit), key=lambda row: (row.day, row.site, row.id))

    @cached_property
    def checks(self) -> list[CheckRow]:
        """The counts beside the visits, oldest day first, by site and sample."""
        found = every(self.book.session, CheckRow)
        return sorted(found, key=lambda row: (row.day, row.site, row.number, row.id))

    @cached_property
    def shares(self) -> list[ShareRow]:
        """The shares, oldest day first, by site or field."""
        found = every(self.book.session, ShareRow)
        return sorted(found, key=lambda row: (row.day, row.number, row.id))
