"""What a deployment decides: read once from the environment at the edge, then handed down."""

from bot.settings.clock import Clock, clock_from, tell_clock
from bot.settings.environment import Settings, SettingsError, read_settings

__all__ = ["Clock", "Settings", "SettingsError", "clock_from", "read_settings", "tell_clock"]
