"""The demo's board: every site and field as it stands today, as JSON. Only the demo serves it."""

from flask import Blueprint, Response, jsonify

from bot.field_book import FieldBook, SeasonShelf, show
from bot.rules import Role
from bot.settings import Clock
from storage import Store, language_of, road_of


def demo_blueprint(store: Store, shelf: SeasonShelf, clock: Clock) -> Blueprint:
    """Give `GET /demo/board`: the season's people with phones, each field's `show` of today, and how many
    texts are on the road.
    """
    board = Blueprint("demo", __name__, url_prefix="/demo")

    @board.get("/board")
    def everything() -> Response:
        with store.read() as session:
            book = FieldBook(session, shelf.season(session), clock())
            season = book.season
            people = [
                {
                    "name": person.name,
                    "phone": person.phone,
                    "language": language_of(session, person.phone) or person.language,
                    "roles": sorted(person.roles),
                }
                for person in sorted(season.people.values(), key=lambda one: _order(one.roles))
                if person.phone is not None and person.active
            ]
            fields = [
                {
                    "number": field.number,
                    "name": field.name,
                    "field": show(book, field.number, book.today),
                    "sites": [show(book, site, book.today) for site in field.sites],
                }
                for field in season.fields.values()
            ]
            local = book.local(book.now)
            road = road_of(session, book.now)
        return jsonify(season=season.name, now=local.isoformat(), people=people, fields=fields, road=road)

    return board


def _order(roles: frozenset[Role]) -> int:
    return min(list(Role).index(role) for role in roles)
