"""The keypad study: presses and texts of every form on a 12-key phone, and what the text language promises of them.

    python -m tests.studies.keypad            the tables, in Markdown
    python -m tests.studies.keypad --check    ends with status 1 where a promise is broken, and says which

The cost model is in `presses`, the forms and the road in `sent_forms`, the codes in `card_codes`.
"""

import sys
from collections.abc import Iterable, Iterator, Sequence

import click

from parsing import LANGUAGES
from parsing.words import language_data
from tests.studies.card_codes import letters_cost, ranked
from tests.studies.presses import Presses, Way, in_number_mode, presses
from tests.studies.sent_forms import SAMPLES, Answered, Said, answered, every_form

COLUMNS = 5
MOST_PACKED, MOST_DIGITS, MOST_EMPTY = 9, 13, 5
"""Presses a sample in number mode, its number and every separator counted, the site number apart."""

MOST_TEXTS = 2
"""Texts each way for a finished site of ten samples, where they are batched."""

BATCHED = ("coded", "coded, glued", "coded, count first", "digits", "packed", "coded, two halves")
REPLY_LANGUAGES = ("ENGLISH", "ESPANOL")


def dearest_sample(said: str) -> int:
    """Give the most presses that a sample said so costs in number mode, over all numbers of the plan."""
    costs = [presses(f"{number} {said} ", Way.NUMBERS) for number in range(1, SAMPLES + 1)]
    return max(cost.keys for cost in costs if cost is not None)


def broken_by_presses() -> Iterator[str]:
    """Say which promise of presses a sample is broken, for counts of one digit."""
    for form, said, most in (
        ("packed", "9" * COLUMNS, MOST_PACKED),
        ("digits", " ".join("9" * COLUMNS), MOST_DIGITS),
        ("empty", "0", MOST_EMPTY),
    ):
        if (dearest := dearest_sample(said)) > most:
            yield f"a sample {form} costs {dearest} presses, at most {most} are promised"


def batched() -> list[Said]:
    """Give the forms that send a whole site in as few texts as they can."""
    return [
        said
        for said in every_form()
        if (said.form.startswith(("found: ", "full: ")) and said.form.partition(": ")[2] in BATCHED)
        or said.form in ("empty: pairs", "empty: range with A")
    ]


def broken_by_texts(forms: Iterable[Said]) -> Iterator[str]:
    """Say which finished site takes more texts than are promised, or is not finished by them."""
    for said in forms:
        if said.texts_in > MOST_TEXTS:
            yield f"{said.form}: {said.texts_in} texts in, at most {MOST_TEXTS} are promised"
        in_numbers = said.cost(Way.NUMBERS) is not None
        for language in REPLY_LANGUAGES:
            for number_mode in (False, True) if in_numbers else (False,):
                came = answered(said, language, number_mode=number_mode)
                yield from _broken_by(said, came, f"{said.form}, {language}")


def _broken_by(said: Said, came: Answered, where: str) -> Iterator[str]:
    if came.samples_in != said.samples:
        yield f"{where}: {came.samples_in} of {said.samples} samples are in; the last reply: {came.last}"
    if came.texts_out > MOST_TEXTS:
        yield f"{where}: {came.texts_out} texts out, at most {MOST_TEXTS} are promised"


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Give a table in Markdown, the first column to the left and the others to the right."""
    lines = [head, ["---", *["--:"] * (len(head) - 1)], *([str(cell) for cell in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def _shown(cost: Presses | None) -> str:
    if cost is None:
        return "-"
    return f"{cost.keys} + {cost.pauses}" if cost.pauses else str(cost.keys)


def _mean(cost: float | None) -> str:
    return "-" if cost is None else f"{cost:.1f}"


def presses_table(forms: Sequence[Said]) -> str:
    """Give the presses a sample and a finished site, for each way of typing."""
    head = ["form", *(f"a sample, {way}" for way in Way), *(f"all, {way}" for way in Way)]
    return table(
        head,
        (
            [said.form, *(_mean(said.cost_of_a_sample(way)) for way in Way)]
            + [_shown(said.cost(way)) for way in Way]
            for said in forms
        ),
    )


def texts_table(forms: Sequence[Said]) -> str:
    """Give the texts each way as the real road answers, and the samples that are in at the end."""
    head = ["form", "texts in", *(f"texts out, {language}" for language in REPLY_LANGUAGES), "samples in"]
    rows = []
    for said in forms:
        came = [answered(said, language) for language in REPLY_LANGUAGES]
        rows.append([said.form, said.texts_in, *(one.texts_out for one in came), came[0].samples_in])
    return table(head, rows)


def words_table() -> str:
    """Give the cheapest words of each language where one has other words than the other, digits held."""
    sections = [language_data(language) for language in LANGUAGES]
    rows = []
    for section in ("after_number", "alone", "prefix", "inside", "stage"):
        for concept in sections[0][section]:
            words = [data[section].get(concept, []) for data in sections]
            cheapest = [min(spelt, key=lambda word: letters_cost(word).keys, default="") for spelt in words]
            if cheapest[0] != cheapest[1] and all(cheapest):
                rows.append([concept, *(f"{word} {_shown(letters_cost(word))}" for word in cheapest)])
    return table(["word for", *LANGUAGES], rows)


def codes_table() -> str:
    """Give every code that ships with its presses, and the cheaper ones that could stand in its place."""
    rows = []
    for one in ranked():
        cheaper = [
            f"{code} {_shown(letters_cost(code))}" if code else "-" for code in (one.alike, one.cheaper)
        ]
        rows.append([one.code, one.counts, _shown(one.cost), *cheaper])
    return table(["code", "counts", "presses", "cheaper, same first letter", "cheapest"], rows)


def report() -> str:
    """Give the whole study in Markdown."""
    forms = every_form()
    worst = [("packed", "9" * COLUMNS), ("digits", " ".join("9" * COLUMNS)), ("empty", "0")]
    rows = [
        [form, in_number_mode(f"{SAMPLES} {said} "), dearest_sample(said), most]
        for (form, said), most in zip(worst, (MOST_PACKED, MOST_DIGITS, MOST_EMPTY), strict=True)
    ]
    return "\n\n".join(
        [
            "Presses of the dearest sample in number mode, the site number apart",
            table(["form", "typed", "presses", "promised at most"], rows),
            "Presses (+ pauses) of one site of ten samples, five columns; a long press counts one, a switch two",
            presses_table(forms),
            "Texts each way for the same, by the real road",
            texts_table(forms),
            "Words, digits held",
            words_table(),
            "Codes that ship",
            codes_table(),
        ]
    )


@click.command()
@click.option("--check", is_flag=True, help="Only check what is promised; status 1 where it is broken.")
def main(*, check: bool) -> None:
    """Print the tables of the keypad study, or check what the text language promises of presses and texts."""
    if not check:
        click.echo(report())
        return
    broken = [*broken_by_presses(), *broken_by_texts(batched())]
    for sentence in broken:
        click.echo(sentence, err=True)
    if broken:
        sys.exit(1)
    click.echo("Every promise of presses and texts is kept.")


if __name__ == "__main__":
    main()
