"""The rehearsal: fields and seasons drawn by chance and walked through the real rules, to choose between plans."""

from bot.rehearsal.command import rehearse
from bot.rehearsal.drawing import draw_counts, draw_field_sites
from bot.rehearsal.one_site import OneSite
from bot.rehearsal.running import Figures, Wanted, run
from bot.rehearsal.seasons import Growth, SeasonTally
from bot.rehearsal.tally import At, Tally
from bot.rehearsal.values import CannotRehearse, Rehearsal, Spread, Way
from bot.rehearsal.walking import Walked, Walker

__all__ = [
    "At",
    "CannotRehearse",
    "Figures",
    "Growth",
    "OneSite",
    "Rehearsal",
    "SeasonTally",
    "Spread",
    "Tally",
    "Walked",
    "Walker",
    "Wanted",
    "Way",
    "draw_counts",
    "draw_field_sites",
    "rehearse",
    "run",
]
