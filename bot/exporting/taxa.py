"""The scientific names of the targets that ship, as far as a source names them for certain.

Names stand only where the page of published action levels (levels.md) gives one for the target; a target that a
season renames has none, as it may mean something else.
"""

from dataclasses import dataclass

from bot.rules import Target


@dataclass(frozen=True, slots=True)
class Taxon:
    """A scientific name, its rank, and the name of the target that it is of."""

    name: str
    rank: str
    of: str


TAXA = {
    # levels.md, heading of section 1: cotton fleahopper (Pseudatomoscelis seriatus)
    "fleahopper": Taxon("Pseudatomoscelis seriatus", "species", "cotton fleahopper"),
    # levels.md, abbreviations: its rows are of L. lineolaris and L. hesperus, so the genus alone is certain
    "lygus": Taxon("Lygus", "genus", "plant bug (lygus)"),
}

UNKNOWN = "unknown"
"""The target that is kept for naming: it means no taxon."""


def taxon_of(target: Target) -> Taxon | None:
    """Give the taxon that a target means for certain."""
    known = TAXA.get(target.key)
    return known if known is not None and known.of == target.name else None
