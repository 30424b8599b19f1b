"""Curves as a picture in SVG, black on white, told apart by dashes as well as by colour."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, indent, tostring

__all__ = ["Curve", "Mark", "Panel", "svg"]

WIDTH, HEIGHT = 460, 340
LEFT, RIGHT, TOP, BOTTOM = 56, 16, 40, 48
"""A panel and the margins about its curves, in pixels."""

STYLES = (("#0072b2", "none"), ("#d55e00", "7 4"), ("#009e73", "2 3"))
"""Colour and dashes of the curves in their order; the colours are told apart by eyes that see few (Okabe and Ito)."""

TICKS = 5
"""About how many ticks an axis has."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve by its points, x rising."""

    name: str
    points: Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on the x axis that is marked by an upright line and a word."""

    x: float
    name: str


@dataclass(frozen=True, slots=True)
class Panel:
    """Curves over one pair of axes, both from 0; at least one curve reaches over 0 on each.

    Their names stand at the upper right, `key_low` at the lower, where rising curves leave room.
    """

    title: str
    x_label: str
    y_label: str
    curves: Sequence[Curve]
    mark: Mark | None = None
    key_low: bool = False


def svg(title: str, panels: Sequence[Panel]) -> str:
    """Give a picture with its panels side by side, as a whole SVG file.

    It holds at most as many curves a panel as there are styles.
    """
    size = {"width": str(WIDTH * len(panels)), "height": str(HEIGHT)}
    picture = Element("svg", size | {"xmlns": "http://www.w3.org/2000/svg"})
    picture.set("viewBox", f"0 0 {size['width']} {size['height']}")
    picture.set("font-family", "sans-serif")
    picture.set("font-size", "12")
    SubElement(picture, "title").text = title
    SubElement(picture, "rect", {"width": "100%", "height": "100%", "fill": "white"})
    for place, panel in enumerate(panels):
        _draw(SubElement(picture, "g", {"transform": f"translate({place * WIDTH} 0)"}), panel)
    indent(picture)
    return tostring(picture, encoding="unicode") + "\n"


def _draw(group: Element, panel: Panel) -> None:
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM
    x_most = max(x for curve in panel.curves for x, _ in curve.points)
    y_most = max(y for curve in panel.curves for _, y in curve.points)
    y_end = math.ceil(y_most / _step(y_most)) * _step(y_most)

    def across(x: float) -> float:
        return LEFT + (right - LEFT) * x / x_most

    def up(y: float) -> float:
        return bottom - (bottom - TOP) * y / y_end

    for x in _ticks(x_most):
        _line(group, across(x), bottom, across(x), bottom + 5)
        _text(group, across(x), bottom + 18, f"{x:g}", "middle")
    for y in _ticks(y_end):
        _line(group, LEFT, up(y), right, up(y), stroke="#dddddd")
        _text(group, LEFT - 6, up(y) + 4, f"{y:g}", "end")
    _line(group, LEFT, bottom, right, bottom)
    _line(group, LEFT, TOP, LEFT, bottom)
    if panel.mark is not None and panel.mark.x <= x_most:
        at = across(panel.mark.x)
        _line(group, at, TOP, at, bottom, stroke="#777777", **{"stroke-dasharray": "1 3"})
        _text(group, at + 4, TOP + 12, panel.mark.name, "start").set("fill", "#555555")
    _text(group, LEFT, 18, panel.title, "start").set("font-weight", "bold")
    _text(group, LEFT, 33, panel.y_label, "start")
    _text(group, (LEFT + right) / 2, HEIGHT - 10, panel.x_label, "middle")
    first_key = bottom - 22 - 18 * (len(panel.curves) - 1) if panel.key_low else TOP + 14
    room = {"x": f"{right - 124}", "y": f"{first_key - 12}", "width": "124"}
    room["height"] = f"{18 * len(panel.curves) + 6}"
    SubElement(group, "rect", room | {"fill": "white"})
    for row, (curve, (colour, dashes)) in enumerate(zip(panel.curves, STYLES, strict=False)):
        style = {"stroke": colour, "stroke-dasharray": dashes, "stroke-width": "2", "fill": "none"}
        points = " ".join(f"{across(x):.1f},{up(y):.1f}" for x, y in curve.points)
        SubElement(group, "polyline", style | {"points": points})
        key = first_key + 18 * row
        _line(group, right - 120, key, right - 90, key, **style)
        _text(group, right - 84, key + 4, curve.name, "start")


def _step(most: float) -> float:
    """Give the step of about TICKS ticks from 0 to `most`: 1, 2 or 5 times a power of ten."""
    power = 10.0 ** math.floor(math.log10(most / TICKS))
    return next(size * power for size in (1, 2, 5, 10) if size * power * (TICKS + 1) >= most)


def _ticks(most: float) -> Iterator[float]:
    step = _step(most)
    for number in range(math.floor(most / step * (1 + 1e-9)) + 1):
        yield number * step


def _line(group: Element, x1: float, y1: float, x2: float, y2: float, **style: str) -> None:
    ends = {"x1": f"{x1:.1f}", "y1": f"{y1:.1f}", "x2": f"{x2:.1f}", "y2": f"{y2:.1f}"}
    SubElement(group, "line", ends | {"stroke": "black"} | style)


def _text(group: Element, x: float, y: float, said: str, anchor: str) -> Element:
    text = SubElement(group, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor})
    text.text = said
    return text
