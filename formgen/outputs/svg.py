"""Stage `outputs`: SVG, in the one place that writes it: elements with their attributes, and a picture on paper.

In: names, attributes, texts. Out: markup that a page takes as it is; every text and attribute in it is escaped once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from formgen.geometry.outline import Point

Attribute = float | str | None


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


def _written(attributes: Mapping[str, Attribute]) -> str:
    return "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(f"{value:.2f}" if isinstance(value, float) else str(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
