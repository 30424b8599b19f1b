"""The digest's texts read back into items by section, in both languages."""

import re
from dataclasses import dataclass, field

from tests.recount.heard import TARGETS
from tests.recount.keeping_out import moment

SECTIONS = {
    "ABOVE": "above",
    "ARRIBA": "above",
    "WAITS": "waits",
    "ESPERA": "waits",
    "IN RANGE": "range",
    "EN EL RANGO": "range",
    "CLOSE CALL": "close",
    "MUY CERCA": "close",
    "NOT DONE": "notdone",
    "FALTAN": "notdone",
    "KEEP OUT": "shut",
    "NO ENTRE": "shut",
    "AFTER TREATMENT, only counts": "after",
    "TRAS APLICACION, solo conteos": "after",
    "READ BY HAND": "byhand",
    "LEER A MANO": "byhand",
    "Squares wanted": "squares",
    "Cuadros pedidos": "squares",
    "Stage wanted": "stage",
    "Etapa pedida": "stage",
    "No answer yet": "questions",
    "Sin respuesta": "questions",
    "Outside method hours": "outside",
    "Fuera de horas del metodo": "outside",
    "Wait for a check": "training",
    "Esperan revision": "training",
    "Late change": "late",
    "Cambio": "late",
}
ORDER = (
    "above",
    "waits",
    "range",
    "close",
    "notdone",
    "shut",
    "after",
    "byhand",
    "squares",
    "stage",
    "totals",
    "late",
)
HEADS = re.compile(r"(?:^|(?<=[.;] ))(" + "|".join(map(re.escape, SECTIONS)) + "): ")
TOTALS = re.compile(
    r"(?:Sites done|Sitios) (?P<done>\d+) (?:of|de) (?P<sites>\d+), "
    r"(?:samples|muestras) (?P<n>\d+) (?:of|de) (?P<m>\d+)"
    r"(?:, (?P<spared>\d+) (?:not needed|no hicieron falta))?\."
)
WORDS = {
    "sin empezar": "not begun",
    "no se muestreo": "not sampled",
    "por cuadros": "by squares",
    "x umbral": "x level",
    "sin avisar": "not told yet",
    "sin productor": "no grower",
    "leido": "read",
    "NO LEIDO desde": "NOT READ since",
    "sin textos desde": "silent since",
    ", llame": ", call",
    "textos": "texts",
    "texto ": "text ",
    "un numero ajeno": "a number not ours",
    " y ": " and ",
    " de ": " of ",
    "umbral": "level",
}


@dataclass(slots=True)
class Account:
    """A digest as read: items by section, in order, and how many more there were than had room."""

    items: dict[str, list[str]] = field(default_factory=dict)
    more: int = 0


def read_digest(texts: list[str], year: int) -> Account:
    """Read the one to three texts of a digest."""
    whole = " ".join(re.sub(r"^\d/\d\. ", "", text) for text in texts)
    whole = re.sub(r"^[A-Z][a-z]{2} \w+ \w+(?: \d/\d)?\. ", "", whole)
    account = Account()
    if found := re.search(r"[;.] (?:and|y) (\d+) (?:more|mas)$", whole):
        account.more = int(found[1])
        whole = whole[: found.start() + 1]
    if found := TOTALS.search(whole):
        spared = f", {found['spared']} not needed" if found["spared"] else ""
        account.items["totals"] = [
            f"{found['done']} of {found['sites']}, {found['n']} of {found['m']}{spared}"
        ]
        whole = whole[: found.start()] + whole[found.end() :]
    pieces = HEADS.split(whole)
    for head, body in zip(pieces[1::2], pieces[2::2], strict=True):
        section = SECTIONS[head]
        if section == "squares":
            account.items[section] = re.findall(r"\d+", body)
            continue
        listed = [item.strip().rstrip(".") for item in re.split(r"; |;$", body.strip()) if item.strip()]
        account.items[section] = [_plain(section, item, year) for item in listed]
    return account


def _plain(section: str, item: str, year: int) -> str:
    if section == "shut":
        number, _, rest = item.partition(" ")
        end = re.sub(r"^(to|hasta) ", "", rest)
        return f"{number} {moment(end, year) if end != rest else 'hours not known'}"
    if section == "waits":
        item = re.sub(r"[ ,]*(?:\(.*)?(?:: .*)?$", "", item)
    if section == "notdone":
        found = re.match(r"(\d+) (\d+) (?:de|of) (\d+)(.*)", item)
        item = f"{found[1]} {found[2]} of {found[3]}{found[4]}" if found else item
        for word in ("sin empezar", "no se muestreo", "sin textos desde"):
            item = item.replace(word, WORDS[word])
        return item
    for word, plain in WORDS.items():
        item = item.replace(word, plain)
    for said, target in TARGETS.items():
        item = re.sub(rf"^(\d+) {re.escape(said)}(?= |$)", rf"\1 {target}", item, flags=re.IGNORECASE)
    return item
