"""What random texts are made of: characters, numbers, codes and words that stand near the rules' edges, patterns."""

from itertools import chain

import gsm0338

from parsing import shipped_words

_codec = gsm0338.Codec()
ESCAPE = 0x1B
GSM_CHARACTERS = [str(_codec.decode(bytes([code]))[0]) for code in range(128) if code != ESCAPE] + list(
    "^{}\\[~]|€"
)
LONGEST = 170

# Ranges in which something of its own kind happens: accents apart, digits of other scripts, fractions,
# full-width forms, dashes and quotes, emoji with what colours and joins them, what no font shows.
UNICODE_RANGES = (
    *((0x20, 0x7E), (0x00, 0x1F), (0x7F, 0x24F), (0x300, 0x36F), (0x660, 0x669), (0x966, 0x96F)),
    *((0x2000, 0x206F), (0x2070, 0x218F), (0x2460, 0x24FF), (0xFF01, 0xFF5E), (0xFE00, 0xFE0F)),
    *((0x1D7CE, 0x1D7FF), (0x1F1E6, 0x1F64F), (0x1F3FB, 0x1F3FF), (0x0, 0xD7FF), (0xE000, 0x10FFFF)),
)

NUMBERS = (
    *("121", "123", "125", "12", "14", "16", "31", "27", "162", "33", "35", "361", "45", "911", "128"),
    *("1", "2", "3", "4", "7", "10", "11", "0", "00", "21004", "00001", "210", "52", "999", "12345", "2.5"),
)
CODES = (
    *("FA2", "FN1", "LN3", "SB1", "FA", "FN", "LA", "2FA", "1FN", "FA2FN1", "2FA1FN", "FNX", "X", "LO1"),
    *(
        "BW4",
        "EN2",
        "3FA2",
        "L2",
        "O",
        "1O",
        "SQ",
        "BH",
        "TP",
        "EG",
        "DS",
        "SQ88",
        "T3",
        "=7",
        "FA=2",
        "2X004",
    ),
)
MARKS = (*"/\n;#-.,?%=*_+&:()'\"", " / ", "\r\n", "88/100", "½", "²", "…", "👍", "1-4", "4 A 7 0", "1/5")
NAMES = ("LUIS", "ANA", "Beto", "rain", "gate locked", "lluvia", "97 71", "8 oz", "24 h")


def _words() -> tuple[str, ...]:
    known = shipped_words()
    return tuple(
        sorted(
            {
                *chain(
                    known.after_number, known.alone, known.inside, known.stages, known.prefixes, known.days
                ),
                *chain(known.opt_out, known.greetings, known.thanks, known.languages, known.treated),
                *chain(known.hours, known.no_emergency),
            }
        )
    )


WORDS = _words()
PIECES = (*NUMBERS, *NUMBERS, *CODES, *CODES, *MARKS, *WORDS, *NAMES)
GAPS = (" ", " ", " ", " ", "", ".", ",", "*", "\n", " / ")

# Right texts as patterns: {s} a site, {f} a field, {n} a sample number, {c} a count, {k} a code.
PATTERNS = (
    *(
        "{s} {n} {k}{c} {k}{c}",
        "{s} {k}{c}",
        "{s} {n} {c} {c} {c} {c} {c}",
        "{s} {n} {c}{c}{c}{c}{c}",
        "{s} 0",
    ),
    *(
        "{s} {n} 0",
        "{s} {n}-{n} 0",
        "{s} {n} A {n} 0",
        "{s} {n} X",
        "{s} {n} {k}X {k}{c}",
        "{s}",
        "{f}",
        "{s}?",
    ),
    *("{s} 1 {k}{c} / 2 0 / 3 {k}{c}", "{s} 1 {c}{c}{c}{c}{c} 2 {c}{c}{c}{c}{c} 3 0", "{s} 1 0 2 0 3 0"),
    *("{s} {n} {k}{c} T{c}", "{s} TOTAL {n} {k}{c}{c}", "{s} ALL {n} {c} {c} {c} {c} {c}", "{s} TODO 0"),
    *(
        "{s} FIX {n} {k}{c}",
        "{s} CAMBIA {n} 0",
        "{s} UNDO",
        "{s} BORRA",
        "UNDO",
        "{s} CANCEL",
        "{s} MOVE {s}",
    ),
    *(
        "{s} SHORT rain",
        "{s} CORTA",
        "{s} DONE",
        "{s} STOP",
        "{s} FIN",
        "{s} SKIP gate locked",
        "{s} NO PUDE",
    ),
    *("{s} SQ 8{c} 100", "{s} SQ {c} 100", "{s} BH {c} 25", "{s} {n} BH {c} 5", "{s} {n} {k}{c} BH {c} 5"),
    *(
        "{s} NAWF 6 5 5 7",
        "{f} STAGE BLOOM 2",
        "{f} ETAPA FLOR",
        "{f} STAGE SQUARING",
        "{s} EACH 20",
        "{s} CADA 3",
    ),
    *(
        "{s} NOTE hail on north end",
        "{s} NOTA {s}",
        "{s} WET",
        "{s} VIENTO",
        "{s} CLOSE",
        "{s} CIERRA lluvia",
    ),
    *(
        "{f} SPRAYED 24",
        "{f} FUMIGADO",
        "{f} SPRAYING",
        "{f} KEEPOUT",
        "{f} NO ENTRE",
        "{f} OPEN",
        "{f} ABRE 48",
    ),
    *("{f} SPRAYED 8 OZ", "{f} SPRAYED 24 HRS", "{f} FUMIGADO 2 DIAS", "{f} LETRERO", "{f} OPEN 8 H"),
    *("{f} sprayed 24 and {f} 48", "TUE {f} SPRAYED 24", "BY ANA {f} NO ENTRE", "{f} to be sprayed"),
    *(
        "TEMP 97.5 71",
        "AVISA viene tormenta\nvayanse",
        "HOY",
        "GENTE",
        "SOS {s}",
        "S.O.S.",
        "TUE SOS",
        "911 ana fell",
    ),
    *(
        "{f} OK",
        "OK",
        "OK",
        "LEIDO",
        "{f} SEND",
        "{f} WAIT",
        "{s} TO LUIS",
        "{s} A ANA",
        "1",
        "1",
        "2",
        "SI",
        "NO",
    ),
    *(
        "PLAN",
        "CARD",
        "{s} CARD",
        "WHERE {f}",
        "TODAY",
        "CREW",
        "TELL water at noon",
        "TELL stop work at noon",
        "AVISA no mas por hoy",
        "TEMP 97 71",
        "HELP",
        "INFO",
    ),
    *(
        "ESPANOL",
        "ENGLISH",
        "SOS",
        "{s} AUXILIO",
        "911",
        "STOP",
        "ALTO",
        "START",
        "EMPIEZA",
        "YES",
        "gracias",
    ),
    *(
        "PRACTICE {s} {n} {k}{c}",
        "BY ANA {s} {n} {k}{c}",
        "CHECK {s} {n} {k}{c}",
        "YEST {s} {n} {k}{c}",
        "TUE {s}",
    ),
    *(
        "AYER {s} {n} 0",
        "REVISA {s} {n} 0",
        "PRUEBA {s} 0",
        "POR ANA {s} 0",
        "please stop texting",
        "no mas 12",
    ),
    *("{n} {k}{c}", "they sprayed 14 this morning", "fumigaron el {f}", "hola", "how are things", "👍"),
)
