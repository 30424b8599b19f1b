"""The stand-in as a Flask application."""

from flask import Blueprint, Flask

from bot.standin.carrier import Carrier
from bot.standin.outbound import outbound_blueprint
from bot.standin.phones import phones_blueprint

LARGEST_BODY = 64 * 1024


def create_standin(carrier: Carrier, *pages: Blueprint) -> Flask:
    """Give the application of a carrier; `pages` are blueprints for people, put beside its interfaces."""
    app = Flask(__name__, static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY
    for blueprint in (outbound_blueprint(carrier), phones_blueprint(carrier), *pages):
        app.register_blueprint(blueprint)
    return app
