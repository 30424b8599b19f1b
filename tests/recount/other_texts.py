"""Texts that the machine starts and the recount does not hold: what they are about is held elsewhere."""

import re

from bot.whole_season.happening import Caused

KNOWN = (
    r" opted out at | ya no quiere textos desde ",
    r"^(?:From|De) .+ to the whole crew|para toda la cuadrilla",
    r"^Your TELL of|^Su AVISA de",
    r"^SOS (?:from|de) ",
    r" the next visit is | la proxima visita ",
    r" counts \d+ .* a sample at | cuenta hoy \d+ .* por muestra en ",
    r" counts came for \d+|mando conteos del \d+.*que no esta en la lista",
    r" has not texted since | no manda nada desde ",
    r": (?:NAWF|NAFB) [\d.]+ (?:on|el) ",
    r" heat units since | unidades de calor desde ",
    r" says .+ is in | dice que .+ esta en ",
    r" The growers on file changed| Cambiaron los productores anotados",
    r"^No alert yet: |^Sin alerta: ",
    r" which opted out on | pidio no recibir mas",
    r" has no phone here any more| ya no tiene telefono aqui",
    r"NOT stored; please read it|NO se guardo; lealo",
    r"^This machine's clock|^El reloj de la maquina",
    r"stamped before our question|con hora de antes de la pregunta",
    r"It may mean a treated field|Puede ser un lote con pesticida",
    r" could not be worked on| no se pudo leer",
    r" counted the same samples| accepted your samples| took the check back",
    r"^\d/\d\. ",
)
READERS = [re.compile(expression) for expression in KNOWN]


def is_known(caused: Caused) -> bool:
    """Say whether a text is one of those that the recount leaves to others."""
    return any(expression.search(caused.text) for expression in READERS)
