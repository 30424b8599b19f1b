"""The card of each site on a day, made only for the site that a text names."""

from collections.abc import Callable, Iterator, Mapping

from bot.rules import Field, Plan
from parsing import Card


class Cards(Mapping[int, Card | None]):
    """The card of each site; None where its plan turns on a stage that is not known."""

    def __init__(self, sites: Mapping[int, Field], plan_on: Callable[[int], Plan | None]) -> None:
        self._sites, self._plan_on = sites, plan_on

    def __getitem__(self, site: int) -> Card | None:
        if site not in self._sites:
            raise KeyError(site)
        plan = self._plan_on(site)
        return Card(plan.codes, plan.samples, plan.ask_above) if plan else None

    def __contains__(self, site: object) -> bool:
        return site in self._sites

    def __iter__(self) -> Iterator[int]:
        return iter(self._sites)

    def __len__(self) -> int:
        return len(self._sites)
