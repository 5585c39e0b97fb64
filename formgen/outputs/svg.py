"""Stage `outputs`: SVG, in the one place that writes it: elements with their attributes, and a picture on paper.

In: names, attributes, texts. Out: markup that a page takes as it is; every text and attribute in it is escaped once.
Colours come from `formgen/outputs/html/paint.py`, so that a picture is dark where its page is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape

from formgen.geometry.outline import Edge, Point

Attribute = float | str | None

#: A capital's height as a share of the size of common faces; the drafting face has a little more.
CAPITAL = 0.7
#: An arc that rises by less over its chord is drawn as a line (units of the picture).
FLAT = 0.004


class Svg(str):
    """Markup: a template writes it as it is."""

    __slots__ = ()

    def __html__(self) -> str:
        """Return itself: what every template engine asks markup for."""
        return self


def tag(name: str, *inside: str, **attributes: Attribute) -> Svg:
    """An element; elements inside it stand on lines of their own.

    Args:
        name: of the element.
        inside: elements, or one text.
        attributes: in their order; a float is written to 0.01, None is left out. `_` in a name stands for `-`, at its
            end for nothing.
    """
    told = _written(attributes)
    if not inside:
        return Svg(f"<{name}{told}/>")
    if isinstance(inside[0], Svg):
        return Svg("\n".join((f"<{name}{told}>", *inside, f"</{name}>")))
    return Svg(f"<{name}{told}>{escape(''.join(inside))}</{name}>")


def text(x: Attribute, y: Attribute, said: str, size: Attribute, **attributes: Attribute) -> Svg:
    """A line of text with its base line beginning at a point, in letters of a size."""
    return tag("text", said, x=x, y=y, font_size=size, **attributes)


def picture(wide_mm: float, high_mm: float, said: str, *inside: Svg, **attributes: Attribute) -> Svg:
    """A file with a picture of so many mm on paper, in units of 1 mm; `said` stands for it where nobody can see it."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide_mm:.1f} {high_mm:.1f}" role="img"\n'
        f' width="{wide_mm:.1f}mm" height="{high_mm:.1f}mm" aria-label="{escape(said)}"{_written(attributes)}>'
    )
    return Svg("\n".join((head, *inside, "</svg>\n")))


def run(points: Sequence[Point], *, closed: bool = False) -> str:
    """The `d` of a path through points."""
    along = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return along + "Z" if closed else along


def traced(
    edges: Iterable[Edge], at: Callable[[Point], Point], wide: float, high: float, *, closed: bool = False
) -> str:
    """Return the `d` of a path along lines and arcs, which stay arcs: circles seen straight or aslant, as ellipses.

    Args:
        edges: one after another.
        at: from their axes to the paper, whose y runs down.
        wide: the paper's length of 1 mm along x.
        high: that of 1 mm along y.
        closed: the last edge ends where the first begins.
    """
    told: list[str] = []
    for edge in edges:
        if not told:
            told.append(f"M{_at(at(edge.a))}")
        x = _at(at(edge.b))
        if abs(edge.bulge) * edge.chord_mm * max(wide, high) / 2 < FLAT:
            told.append(f"L{x}")
        else:
            large, left = int(abs(edge.sweep_rad) > math.pi + 1e-9), int(edge.bulge < 0)
            told.append(f"A{edge.radius_mm * wide:.2f} {edge.radius_mm * high:.2f} 0 {large} {left} {x}")
    return "".join(told) + ("Z" if closed else "")


def _at(p: Point) -> str:
    return f"{p[0]:.2f} {p[1]:.2f}"


def _written(attributes: Mapping[str, Attribute]) -> str:
    return "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(f"{value:.2f}" if isinstance(value, float) else str(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
