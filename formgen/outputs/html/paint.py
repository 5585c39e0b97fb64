"""Stage `outputs`: pictures in the look of the pages: colours by name, and a picture that is a file of its own.

In: names of colours in `look.css`, elements. Out: attributes that paint dark where the screen is, and by day where a
viewer knows no variables; an SVG file that holds its style in itself.
"""

from __future__ import annotations

import re
from functools import cache

from formgen.outputs.svg import Attribute, Svg, picture, tag
from formgen.outputs.templates import asset

#: Letters of a picture: the drawing board's, or a common face where they are not known.
LETTERED: dict[str, Attribute] = {"class_": "lettered", "font_family": "sans-serif"}


@cache
def by_day(name: str) -> str:
    """A colour of the look on a light screen, for viewers that know no variables."""
    day = asset("outputs/html/look.css").split("@media", 1)[0]
    (colour,) = re.findall(rf"--{name}: (#[0-9a-f]+);", day)
    return str(colour)


def paint(*, fill: str | None = None, stroke: str | None = None) -> dict[str, Attribute]:
    """Return the attributes that paint with colours of `look.css`, by name; `none` for nothing.

    The class names the colour for viewers that know variables; the attribute beside it is the colour by day, for those
    that do not.
    """
    named = {"fill": fill, "stroke": stroke}
    classes = " ".join(f"{kind}-{name}" for kind, name in named.items() if name not in (None, "none"))
    colours = {kind: name if name == "none" else by_day(name) for kind, name in named.items() if name is not None}
    return {**({"class_": classes} if classes else {}), **colours}


def alone(wide_mm: float, high_mm: float, said: str, style: str, *inside: Svg) -> Svg:
    """A picture that is a file of its own: with its style in itself, on a ground of its paper's colour."""
    ground = tag("rect", width=wide_mm, height=high_mm, **paint(fill="paper"))
    css = Svg(f"<style>{style}</style>")
    return picture(wide_mm, high_mm, said, css, ground, *inside, **paint(fill="ink"))
