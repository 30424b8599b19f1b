"""The letter as HTML for a phone: its styles inside, in light and in dark; nothing is fetched and nothing counted."""

from collections.abc import Iterator
from html import escape

from bot.digests.letter import FieldBlock, FigureLine, Letter, Part, SiteLine, Tone

FONT = "font-family:-apple-system,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif"
INK, QUIET, LINE, GROUND, SHEET = "#22261f", "#5f6657", "#e3e4dc", "#f4f4ef", "#ffffff"
COLOURS = {Tone.ACT: "#a3321f", Tone.LOOK: "#7a5600", Tone.PLAIN: INK}
EDGES = {Tone.ACT: "#c4432d", Tone.LOOK: "#c9941d", Tone.PLAIN: "#b9c0ad"}
DARK = """
:root{color-scheme:light dark}
@media (prefers-color-scheme:dark){
.ground{background:#161814!important}.sheet{background:#1f221c!important}
.ink,.plain{color:#e6e7e0!important}.quiet{color:#a3aa98!important}
.line{border-color:#383c33!important}.band{background:#282c24!important}
.act{color:#f0937f!important}.look{color:#e2b759!important}
.act-edge{border-color:#d9614a!important}.look-edge{border-color:#c9941d!important}
.plain-edge{border-color:#565c4d!important}}
@media (max-width:480px){.sheet{padding:20px 16px!important;border-radius:0!important}
.ground{padding:0!important}}
"""
"""Mail readers that know no style sheet show the light styles that stand in each element."""


def letter_html(letter: Letter) -> str:
    """Give a letter as one HTML page; every name and note in it is escaped."""
    return "".join(_page(letter))


def _page(letter: Letter) -> Iterator[str]:
    yield (
        f'<!DOCTYPE html>\n<html lang="{escape(letter.language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        '<meta name="color-scheme" content="light dark">\n'
        '<meta name="supported-color-schemes" content="light dark">\n'
        f"<title>{escape(letter.subject)}</title>\n<style>{DARK}</style>\n</head>\n"
        f'<body class="ground" style="margin:0;padding:24px 12px;background:{GROUND};{FONT};'
        '-webkit-text-size-adjust:100%">\n'
        f'<div class="sheet ink" style="max-width:600px;margin:0 auto;padding:28px 32px;background:{SHEET};'
        f'color:{INK};border-radius:10px;font-size:16px;line-height:1.5">\n'
        f'<p class="quiet" style="margin:0;font-size:14px;color:{QUIET}">{escape(letter.season)}</p>\n'
        '<h1 style="margin:2px 0 0;font-size:23px;line-height:1.25;font-weight:650">'
        f"{escape(letter.day)}</h1>\n"
        f'<p class="quiet" style="margin:4px 0 0;font-size:14px;color:{QUIET}">{escape(letter.as_of)}</p>\n'
    )
    for part in letter.parts:
        yield from _part(part)
    if letter.fields:
        yield from _table(letter)
    yield (
        f'<div class="quiet line" style="margin-top:28px;padding-top:14px;border-top:1px solid {LINE};'
        f'font-size:13px;line-height:1.5;color:{QUIET}">\n'
    )
    for sentence in letter.foot:
        yield f'<p style="margin:0 0 8px">{escape(sentence)}</p>\n'
    yield "</div>\n</div>\n</body>\n</html>\n"


def _part(part: Part) -> Iterator[str]:
    if part.heading is None:
        for item in part.items:
            yield f'<p style="margin:18px 0 0">{escape(item)}</p>\n'
        return
    yield f"{_heading(part.heading, part.tone)}\n"
    yield '<ul style="margin:6px 0 0;padding:0;list-style:none">\n'
    for item in part.items:
        yield (
            f'<li class="{part.tone}-edge" style="margin:0 0 8px;padding:1px 0 1px 12px;'
            f'border-left:3px solid {EDGES[part.tone]}">{escape(item)}</li>\n'
        )
    yield "</ul>\n"


def _heading(said: str, tone: Tone) -> str:
    return (
        f'<h2 class="{tone}" style="margin:26px 0 0;font-size:17px;line-height:1.3;font-weight:650;'
        f'color:{COLOURS[tone]}">{escape(said)}</h2>'
    )


def _table(letter: Letter) -> Iterator[str]:
    yield f"{_heading(letter.sites_heading, Tone.PLAIN)}\n"
    yield (
        '<table style="width:100%;margin-top:8px;border-collapse:collapse;font-size:14px;line-height:1.4">\n'
        '<thead><tr class="quiet">'
    )
    for place, column in enumerate(letter.columns):
        yield (
            f'<th scope="col" class="quiet" style="{_cell(place)};font-weight:400;font-size:13px;'
            f'color:{QUIET};text-align:left">{escape(column)}</th>'
        )
    yield "</tr></thead>\n"
    for block in letter.fields:
        yield from _block(block)
    yield "</table>\n"


def _block(block: FieldBlock) -> Iterator[str]:
    yield (
        f'<tbody><tr><th scope="rowgroup" colspan="4" class="band ink" style="padding:7px 8px;'
        f'background:{GROUND};text-align:left;font-weight:650">{escape(block.title)}</th></tr>\n'
    )
    for line in block.lines:
        yield from _site(line)
    yield "</tbody>\n"


def _site(line: SiteLine) -> Iterator[str]:
    rows = max(len(line.figures), 1)
    edge = f"border-top:1px solid {LINE}"
    head = (
        f'<th scope="row" rowspan="{rows}" class="line" style="{_cell(0)};{edge};text-align:left;'
        f'font-weight:650">{escape(line.site)}<br><span class="quiet" style="font-weight:400;font-size:13px;'
        f'color:{QUIET}">{escape(line.state)}</span></th>'
    )
    if not line.figures:
        yield f'<tr>{head}<td colspan="3" class="line" style="{_cell(1)};{edge}"></td></tr>\n'
    for number, one in enumerate(line.figures):
        yield f"<tr>{head if number == 0 else ''}{_figure(one, edge if number == 0 else '')}</tr>\n"


def _figure(one: FigureLine, edge: str) -> str:
    weight = "650" if one.tone is Tone.ACT else "400"
    per = f'<br><span class="quiet" style="font-size:13px;color:{QUIET}">{escape(one.per)}</span>'
    return (
        f'<td class="line" style="{_cell(1)};{edge}">{escape(one.count)}{per if one.per else ""}</td>'
        f'<td class="line" style="{_cell(2)};{edge};white-space:nowrap">{escape(one.level)}</td>'
        f'<td class="line {one.tone}" style="{_cell(3)};{edge};font-weight:{weight};'
        f'color:{COLOURS[one.tone]}">{escape(one.standing)}</td>'
    )


def _cell(place: int) -> str:
    """Give the style of a cell of a column: the first and last stand at the edges of the sheet's band."""
    sides = {0: "8px 6px 8px 8px", 3: "8px 8px 8px 6px"}.get(place, "8px 6px")
    return f"padding:{sides};vertical-align:top"
