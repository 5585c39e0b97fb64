"""Stage `outputs`: names and colours of the drawing layers, as the shop file asks and the DXF version allows.

In: a shop's router settings. Out: layer names. A layer of a router's file holds what one tool does.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from formgen.errors import ExportError
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.lengths import Units
from formgen.recipe.shop import Router
from formgen.units import MM_PER_IN

MM_PER_INCH = float(MM_PER_IN)

#: Plain index colours (AutoCAD Color Index), one for each purpose.
COLOURS = {
    "outside_profile": 7,
    "inside_profile": 5,
    "drilling": 1,
    "groove": 3,
    "marks": 8,
    "labels": 6,
    "sheet_notes": 9,
}


@fixed
class LayerNames:
    """Name of the drawing layer for each purpose.

    Args:
        outside_profile, inside_profile, drilling, marks, labels, sheet_notes: names.
        groove: from a depth in mm to the name.
    """

    outside_profile: str
    inside_profile: str
    drilling: str
    groove: Callable[[float], str]
    marks: str
    labels: str
    sheet_notes: str


def drawing_units(form: Form) -> Units:
    """Units of the router's files: the shop's, or those of the recipe."""
    recipe = form.recipe
    return recipe.shop.router.units or recipe.units


def layer_names(router: Router, units: Units, depths_mm: tuple[float, ...]) -> LayerNames:
    """The names for a router.

    Args:
        router: the shop's settings.
        units: units in which a groove's depth is written into its name.
        depths_mm: depths of the grooves that there are.

    Raises:
        ExportError: two purposes, or two depths, would get one name.
    """
    asked = router.layers

    def allowed(text: str) -> str:
        return allowed_name(text, router.dxf_version)

    def groove(depth_mm: float) -> str:
        return allowed(asked.groove.replace("{depth}", depth_text(depth_mm, units)))

    names = LayerNames(
        outside_profile=allowed(asked.outside_profile),
        inside_profile=allowed(asked.inside_profile),
        drilling=allowed(asked.drilling),
        groove=groove,
        marks=allowed(asked.marks),
        labels=allowed(asked.labels),
        sheet_notes=allowed(asked.sheet_notes),
    )
    flat = [names.outside_profile, names.inside_profile, names.drilling, names.marks, names.labels, names.sheet_notes]
    flat += [groove(depth) for depth in sorted(set(depths_mm))]
    seen: set[str] = set()
    for name in flat:
        if name.upper() in seen:  # the format does not tell upper case from lower
            raise ExportError(
                f"shop file: router.layers: two purposes get the drawing layer {name!r} in "
                f"{router.dxf_version}, expected a layer for each; rename one ({{depth}} in a groove's)"
            )
        seen.add(name.upper())
    return names


def depth_text(depth_mm: float, units: Units) -> str:
    """A depth with its unit, as few digits as needed: `6mm`, `0.25in`."""
    value, digits = (depth_mm / MM_PER_INCH, 3) if units == "in" else (depth_mm, 2)
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") + units


def allowed_name(text: str, version: str) -> str:
    r"""The name with what the version does not allow replaced by `_`.

    Reference: R12 allows up to 31 letters, digits, `$`, `-` and `_`, upper case; later versions up to 255
    characters without `<>/\":;?*|=` and the backquote.
    """
    if version == "R12":
        return re.sub(r"[^A-Z0-9$_-]", "_", text.upper())[:31]
    return re.sub(r"[<>/\\\":;?*|=`,\x00-\x1f]", "_", text).strip()[:255] or "_"
