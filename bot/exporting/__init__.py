"""The season's record as files that are read elsewhere: CSV with its dictionary, a Darwin Core archive."""

from bot.exporting.command import export

__all__ = ["export"]
