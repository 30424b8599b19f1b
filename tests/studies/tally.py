"""The tables and lists of the misread study, as text."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from itertools import islice

from tests.studies.corpus import TrueText
from tests.studies.judging import DIFFERENT, Judged, Kind, Law, Outcome
from tests.studies.slips import Slip

EXAMPLES = 3
_HEADS = {
    Outcome.REFUSED: "refused",
    Outcome.ASKED: "asked",
    Outcome.SAME: "same",
    Outcome.PART: "in part",
    Outcome.ECHOED: "different, echoed",
    Outcome.SUMS: "as sums",
    Outcome.SILENT: "SILENT",
    Outcome.COMMAND: "other command",
    Outcome.BROKE: "broke",
}


def report(
    judged: Sequence[Judged], texts: Sequence[TrueText], not_valid: Sequence[tuple[TrueText, str]]
) -> str:
    """Give the whole report: laws, totals, tables by form and by slip, kinds of difference, examples."""
    parts = [
        _head(judged, texts, not_valid),
        _table("By form", "form", judged, lambda one: one.true.form),
        _table("By slip", "slip", judged, lambda one: one.slipped.slip),
        _table("By plan", "plan", judged, lambda one: one.plan),
        _crossed(judged),
        _kinds(judged),
        *(_examples_of(kind, [one for one in judged if one.kind is kind]) for kind in Kind),
        _commands(judged),
        *(_examples_of(outcome, _with(judged, outcome)) for outcome in (Outcome.PART, Outcome.SUMS)),
        *(
            _examples_of(outcome, _with(judged, outcome), most=None)
            for outcome in (Outcome.SILENT, Outcome.BROKE)
        ),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def broken_laws(judged: Iterable[Judged]) -> dict[Law, list[Judged]]:
    """Give for each law the slips that break it."""
    judged = list(judged)
    return {law: [one for one in judged if law in one.breaks] for law in Law}


def _head(
    judged: Sequence[Judged], texts: Sequence[TrueText], not_valid: Sequence[tuple[TrueText, str]]
) -> str:
    lines = [f"# Misread: {len(texts)} texts, {len(judged)} slips", ""]
    for law, breaking in broken_laws(judged).items():
        lines.append(f"- {law}: {'holds' if not breaking else f'BROKEN {len(breaking)} times'}")
        lines += [f"  - {_shown(one)}" for one in breaking[:EXAMPLES]]
    if not_valid:
        lines.append(f"- NOT VALID, left out of all tables: {len(not_valid)} texts")
        lines += [f"  - {true.form}: {true.text!r}: {reply}" for true, reply in not_valid]
    return "\n".join(lines)


def _table(title: str, head: str, judged: Sequence[Judged], name: Callable[[Judged], str]) -> str:
    """Give a table of outcomes: a row for each name, without and with a control total."""
    shown = [outcome for outcome in Outcome if outcome is not Outcome.BROKE or _with(judged, outcome)]
    rows: dict[tuple[str, bool], Counter[Outcome]] = {}
    for one in judged:
        rows.setdefault((name(one), one.true.control), Counter())[one.outcome] += 1
    order = list(dict.fromkeys(key for key, _ in rows))
    cells = [[head, "total", "slips", *(_HEADS[outcome] for outcome in shown)]]
    for key, control in sorted(rows, key=lambda row: (order.index(row[0]), row[1])):
        counted = rows[key, control]
        cells.append(_row(key, "with" if control else "", counted, shown))
    for control in (False, True):
        counted = Counter(one.outcome for one in judged if one.true.control is control)
        cells.append(_row("all", "with" if control else "without", counted, shown))
    cells.append(_row("all", "", Counter(one.outcome for one in judged), shown))
    return f"## {title}\n\n{_aligned(cells)}"


def _row(name: str, control: str, counted: Counter[Outcome], shown: Sequence[Outcome]) -> list[str]:
    return [name, control, str(counted.total()), *(str(counted[outcome] or "") for outcome in shown)]


def _crossed(judged: Sequence[Judged]) -> str:
    """Give what was taken and is different, by form and slip, as different of all."""
    different, every = Counter[tuple[str, bool, Slip]](), Counter[tuple[str, bool, Slip]]()
    for one in judged:
        key = (one.true.form, one.true.control, one.slipped.slip)
        every[key] += 1
        different[key] += one.outcome in DIFFERENT
    cells = [["form", "total", *Slip]]
    for form, control in dict.fromkeys((form, control) for form, control, _ in every):
        row = [form, "with" if control else ""]
        for slip in Slip:
            n, of = different[form, control, slip], every[form, control, slip]
            row.append(f"{n} of {of}" if n else (f"0 of {of}" if of else ""))
        cells.append(row)
    return f"## Taken and different, by form and slip\n\n{_aligned(cells)}"


def _kinds(judged: Sequence[Judged]) -> str:
    different = [one for one in judged if one.kind is not None]
    plain = sum(not one.true.control for one in judged)
    sizes = (plain, len(judged) - plain)
    cells = [["kind", "without total", "of slips", "with total", "of slips", "all", "of different"]]
    for kind in Kind:
        split = [
            sum(one.kind is kind and one.true.control is control for one in different)
            for control in (False, True)
        ]
        row: list[str] = [kind]
        for n, of in zip(split, sizes, strict=True):
            row += [str(n), _percent(n, of)]
        cells.append([*row, str(sum(split)), _percent(sum(split), len(different))])
    return f"## Taken and different, by kind\n\n{_aligned(cells)}"


def _percent(n: int, of: int) -> str:
    return f"{100 * n / of:.2f} %" if of else ""


def _examples_of(title: str, judged: Sequence[Judged], most: int | None = EXAMPLES) -> str:
    """Give examples, of as many forms as there are before a second of one form."""
    if not judged:
        return ""
    first: dict[str, Judged] = {}
    for one in judged:
        first.setdefault(one.true.form, one)
    others = (one for one in judged if first[one.true.form] is not one)
    lines = [f"- {_shown(one)}" for one in islice((*first.values(), *others), most)]
    return f"## {title[0].upper()}{title[1:]}: {len(judged)}\n\n" + "\n".join(lines)


def _commands(judged: Sequence[Judged]) -> str:
    """List what stored nothing and was understood as another command, by form and command."""
    groups: dict[tuple[str, str], list[Judged]] = {}
    for one in _with(judged, Outcome.COMMAND):
        groups.setdefault((one.true.form, one.understood), []).append(one)
    if not groups:
        return ""
    lines = ["## Other command, nothing stored", ""]
    for (form, understood), ones in groups.items():
        said = ", ".join(f"{one.true.text!r} as {one.slipped.text!r}" for one in ones[:EXAMPLES])
        lines.append(f"- {form}, as {understood}: {len(ones)}; {said}; reply: {ones[0].reply[:70]}")
    return "\n".join(lines)


def _with(judged: Iterable[Judged], outcome: Outcome) -> list[Judged]:
    return [one for one in judged if one.outcome is outcome]


def _shown(one: Judged) -> str:
    said = one.slipped
    return f"{one.true.form}, {said.slip}: {one.true.text!r} as {said.text!r}: {one.reply}"


def _aligned(cells: Sequence[Sequence[str]]) -> str:
    """Give cells as a table whose columns line up, in the form of Markdown."""
    widths = [max(len(row[place]) for row in cells) for place in range(len(cells[0]))]
    lines = []
    for number, row in enumerate(cells):
        padded = [
            cell.ljust(width) if place < 2 else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(f"| {' | '.join(padded)} |")
        if number == 0:
            lines.append(f"|{'|'.join('-' * (width + 2) for width in widths)}|")
    return "\n".join(lines)
