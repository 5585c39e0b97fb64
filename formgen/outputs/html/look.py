"""Stage `outputs`: the look that pages and pictures share: colours on the screen, dark, light and printed; lettering.

In: nothing. Out: CSS that a page or a picture holds in itself; a picture names its colours by it and is dark where the
screen is.
"""

from __future__ import annotations

from functools import cache

from formgen.outputs.templates import asset


@cache
def look() -> str:
    """The variables of `look.css`, and the drawing board's lettering for the screen."""
    return asset("outputs/html/look.css")
