"""The field book: what the season file and the counts say together, at one moment."""

from bot.field_book.beside import (
    InTraining,
    facts_beside,
    facts_of_checks,
    in_training,
    sites_in_training,
    waiting_trainees,
)
from bot.field_book.book import FieldBook
from bot.field_book.closed import beside, closure_of, closures, kept_out, shut_on
from bot.field_book.due import FieldDue, due_on, due_sites, left_sites, recheck_days
from bot.field_book.heat import heat_since, in_cutout_since, temperatures_of, temperatures_since
from bot.field_book.method_hours import first_outside_hours, works_at
from bot.field_book.retention import SQUARES
from bot.field_book.seasons import SeasonShelf, holder_before
from bot.field_book.show import show
from bot.field_book.snapshots import plan_of
from bot.field_book.treatments import Recheck, Treated, treatments
from bot.field_book.views import FieldView, SiteView
from bot.field_book.visits import begin_visit, skip_visit
from bot.field_book.whereabouts import (
    Place,
    UnderWay,
    Whereabouts,
    last_place,
    silent_people,
    silent_since,
    whereabouts,
)
from bot.field_book.whose import (
    handed_over,
    own_sites,
    people_at,
    seen_before,
    sites_in_view,
    still_holds,
    whose_site,
)

__all__ = [
    "SQUARES",
    "FieldBook",
    "FieldDue",
    "FieldView",
    "InTraining",
    "Place",
    "Recheck",
    "SeasonShelf",
    "SiteView",
    "Treated",
    "UnderWay",
    "Whereabouts",
    "begin_visit",
    "beside",
    "closure_of",
    "closures",
    "due_on",
    "due_sites",
    "facts_beside",
    "facts_of_checks",
    "first_outside_hours",
    "handed_over",
    "heat_since",
    "holder_before",
    "in_cutout_since",
    "in_training",
    "kept_out",
    "last_place",
    "left_sites",
    "own_sites",
    "people_at",
    "plan_of",
    "recheck_days",
    "seen_before",
    "show",
    "shut_on",
    "silent_people",
    "silent_since",
    "sites_in_training",
    "sites_in_view",
    "skip_visit",
    "still_holds",
    "temperatures_of",
    "temperatures_since",
    "treatments",
    "waiting_trainees",
    "whereabouts",
    "whose_site",
    "works_at",
]
