"""Stage `outputs`: the look that pages and pictures share: colours on the screen, dark, light and printed; lettering.

In: nothing. Out: CSS that a page or a picture holds in itself; a picture names its colours by it and is dark where the
screen is.
"""

from __future__ import annotations

import base64
from functools import cache
from importlib.resources import files

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
