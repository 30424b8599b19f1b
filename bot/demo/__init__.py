"""The demo: an invented season, one scouting day over real HTTP, phones in the browser."""

from bot.demo.play import run_demo

__all__ = ["run_demo"]
