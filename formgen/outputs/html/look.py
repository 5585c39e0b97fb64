"""Stage `outputs`: the look that pages and pictures share: colours on the screen, dark, light and printed; lettering.

In: nothing. Out: CSS that a page or a picture holds in itself; a picture names its colours by it and is dark where the
screen is.
"""

from __future__ import annotations

import base64
import re
from functools import cache
from importlib.resources import files

from formgen.outputs.svg import Attribute, Svg, picture, tag
from formgen.outputs.templates import asset

#: The drawing board's lettering, held in the page itself. One pen for every weight asked for: nothing is made bolder.
#: Its figures stand as paper has them where `font-variant-numeric` says `diagonal-fractions`, `tabular-nums` or both.
_LETTERING = """@font-face {
  font-family: "Bench Gothic"; font-weight: 1 1000; src: url(data:font/woff;base64,%s) format("woff");
}
"""


@cache
def look() -> str:
    """The variables of `look.css`, and the drawing board's lettering for the screen."""
    letters = files("formgen.drafting").joinpath("fonts", "screen.woff").read_bytes()
    return _LETTERING % base64.b64encode(letters).decode("ascii") + asset("outputs/html/look.css")


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


#: Letters of a picture: the drawing board's, or a common face where they are not known.
LETTERED: dict[str, Attribute] = {"class_": "lettered", "font_family": "sans-serif"}


def alone(wide_mm: float, high_mm: float, said: str, style: str, *inside: Svg) -> Svg:
    """A picture that is a file of its own: with its style in itself, on a ground of its paper's colour."""
    ground = tag("rect", width=wide_mm, height=high_mm, **paint(fill="paper"))
    css = Svg(f"<style>{style}</style>")
    return picture(wide_mm, high_mm, said, css, ground, *inside, **paint(fill="ink"))
