"""What phones do and show, and how the weather is set: JSON for the page, the demo and the tests.

GET  /phones                    numbers that have a conversation
GET  /phones/{number}?after=N   the conversation, without its first N texts
POST /phones/{number}/texts     {"text": …, "at": ISO time with zone, or left out} -> 202 {"messageId": …}
GET  /weather                   how the carrier behaves (`weather.py`)
PUT  /weather                   sets it; what is left out is fair
"""

from dataclasses import asdict
from datetime import datetime

from flask import Blueprint, Response, jsonify, request

from bot.standin.carrier import Carrier, Line
from bot.standin.numbers import fictitious_number
from bot.standin.weather import BadWeather, read_weather


def phones_blueprint(carrier: Carrier) -> Blueprint:
    """Give the resources of the phones and of the weather."""
    blueprint = Blueprint("phones", __name__)

    @blueprint.get("/phones")
    def phones() -> Response:
        """The numbers that have a conversation."""
        return jsonify(list(carrier.phones()))

    @blueprint.get("/phones/<number>")
    def conversation(number: str) -> Response:
        """A phone's texts from `after` on, oldest first."""
        phone = fictitious_number(number)
        if phone is None:
            return _not_a_phone()
        after = request.args.get("after", "0")
        if not (after.isascii() and after.isdigit() and len(after) < 10):
            return _wrong(400, "after is a number of texts")
        return jsonify([_line_as_json(line) for line in carrier.conversation(phone, int(after))])

    @blueprint.post("/phones/<number>/texts")
    def text(number: str) -> Response:
        """202 with the messageId; the text is on its way to the service."""
        phone = fictitious_number(number)
        if phone is None:
            return _not_a_phone()
        told = request.get_json(silent=True)
        match told:
            case {"text": str(words), **rest}:
                at = _moment(rest.get("at"))
            case _:
                return _wrong(400, 'a text is {"text": "…"}, with "at" where it was not sent now')
        if isinstance(at, str):
            return _wrong(400, at)
        answer = jsonify({"messageId": carrier.text_from(phone, words, at)})
        answer.status_code = 202
        return answer

    @blueprint.get("/weather")
    def weather() -> Response:
        """How the carrier behaves now."""
        return jsonify(asdict(carrier.weather))

    @blueprint.put("/weather")
    def change_weather() -> Response:
        """Sets how the carrier behaves from now on."""
        try:
            carrier.weather = read_weather(request.get_json(silent=True))
        except BadWeather as error:
            return _wrong(400, str(error))
        return weather()

    return blueprint


def _line_as_json(line: Line) -> dict[str, str]:
    return {
        "direction": line.direction,
        "text": line.text,
        "at": line.at.isoformat(),
        "id": line.id,
        "state": line.state,
    }


def _moment(told: object) -> datetime | str | None:
    """Give the moment told, None where none is, or the sentence that says what is wrong with it."""
    if told is None:
        return None
    try:
        moment = datetime.fromisoformat(told) if isinstance(told, str) else None
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        return "at is a time with its zone, as 2026-07-06T09:30:00-05:00"
    return moment


def _not_a_phone() -> Response:
    return _wrong(404, "no such phone here; numbers end in 555-0100 to 555-0199")


def _wrong(status: int, sentence: str) -> Response:
    answer = jsonify({"error": sentence})
    answer.status_code = status
    return answer
