"""Pages of the service in the browser. For now only what the demo's phones page asks for."""

from bot.pages.board import demo_blueprint

__all__ = ["demo_blueprint"]
