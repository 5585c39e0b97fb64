"""Building: texts of the page in which no name is broken at its hyphen, and a share of a tolerance as a bar.

In: texts, lengths in mm. Out: markup, every text in it escaped.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from formgen.amounts import tied
from formgen.lengths import Units, write_fine
from formgen.outputs.svg import Svg, tag

#: A name with a hyphen in it, as `W-102` and `A-404-shared`; longer ones than fit a phone's line may break.
_NAME = re.compile(r"[^\s-][^\s]{0,16}-[^\s]{0,16}[^\s,;:.]")
#: Width of a share's bar, in units of its picture.
_WHOLE = 100.0


def kept(said: str) -> Svg:
    """Return a text with its names held together."""
    shown, at = [], 0
    for name in _NAME.finditer(said):
        shown += [escape(tied(said[at : name.start()])), tag("span", name[0], class_="name")]
        at = name.end()
    # one element, so that what lays a cell's content out side by side does not take it apart
    return Svg(f"<span>{''.join((*shown, escape(tied(said[at:]))))}</span>")


def listed(names: Iterable[str]) -> Svg:
    """Return names one after the other, a line ending only between two."""
    return Svg(", ".join(tag("span", name, class_="name") for name in names))


def share_bar(part_mm: float, whole_mm: float, units: Units) -> Svg:
    """Return a bar as long as the share, and the figures beside it: `0.006 of 0.031`."""
    part, whole = (write_fine(mm, units).removesuffix(f" {units}") for mm in (part_mm, whole_mm))
    share = min(part_mm / whole_mm, 1.0) if whole_mm else 0.0
    bar = tag(
        "svg",
        tag("rect", width=_WHOLE, height=10.0, class_="whole"),
        tag("rect", width=_WHOLE * share, height=10.0, class_="part"),
        viewBox=f"0 0 {_WHOLE:.0f} 10",
        aria_hidden="true",
        class_="share",
    )
    return tag("span", bar, Svg(f"{part} of {whole}"), class_="name")
