"""Stage `recipe`: numbers that are more likely of the other unit: inches in a file that says mm, or the reverse.

In: a recipe as asked and as it was typed. Out: a warning. Only numbers without a unit of their own are looked at, and
only where arch, depth and thickness all look wrong: one alone may be meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from formgen.errors import LengthError
from formgen.findings import Finding, finding
from formgen.lengths import Units, read_length
from formgen.recipe.data_file import read_table
from formgen.recipe.schema import RecipeFile

#: A number that says no unit: `36`, `5.25`, `4 9/16`.
_BARE = re.compile(r"\s*-?[0-9][0-9 ./-]*\s*")
#: What an arch's table holds beside lengths.
_NO_LENGTH = ("kind", "sweep", "fit", "file", "layer")
_OTHER: Mapping[Units, Units] = {"mm": "in", "in": "mm"}


@cache
def _limits() -> Mapping[str, Any]:
    return read_table("unlikely")


def least_ply_mm() -> float:
    """The thinnest ply that can be had."""
    return float(_limits()["ply"]["least_mm"])


def unlikely_units(asked: RecipeFile, data: Mapping[str, Any]) -> Iterator[Finding]:
    """A warning where all that was typed without a unit looks like the other unit.

    Args:
        asked: the recipe, understood.
        data: the same as it was typed, keys as in YAML.
    """
    part, laminate = data.get("part"), data.get("laminate")
    if not isinstance(part, dict) or not isinstance(laminate, dict):
        return
    units = asked.units
    arch = list(_typed(part.get("arch"), units))
    depth, thickness = list(_typed(part.get("depth"), units)), _thickness(laminate, units)
    if not arch or not depth or thickness is None:
        return
    found = {"arch": max(arch), "depth": depth[0], "thickness": thickness}
    limits = _limits()["up_to" if units == "mm" else "from"][units]
    sign = 1.0 if units == "mm" else -1.0
    if any(sign * mm > sign * limits[f"{what}_mm"] for what, mm in found.items()):
        return
    arch_text, depth_text, thick_text = (_bare(mm, units) for mm in found.values())
    yield finding(
        "recipe.units-unlikely",
        units,
        value=found["depth"],
        limit=limits["depth_mm"],
        arch=arch_text,
        depth=depth_text,
        thickness=thick_text,
        written=units,
        other=_OTHER[units],
        likely=_OTHER[units],
        sizes_source=limits["source"],
    )


def _thickness(laminate: Mapping[str, Any], units: Units) -> float | None:
    """Thickness of the part (mm) as far as it was typed without a unit; None where any of it has one."""
    if "thickness" in laminate:
        return next(_typed(laminate["thickness"], units), None)
    plies = laminate.get("plies")
    if not isinstance(plies, tuple):
        return None
    rows = [(row.get("count", 1), next(_typed(row.get("thickness"), units), None)) for row in plies]
    together = [count * mm for count, mm in rows if mm is not None]
    return sum(together) if len(together) == len(rows) else None


def _typed(value: Any, units: Units) -> Iterator[float]:
    """Sizes (mm) of every length below a value that was typed without a unit."""
    if isinstance(value, Mapping):
        for key, held in value.items():
            if key not in _NO_LENGTH:
                yield from _typed(held, units)
    elif isinstance(value, tuple | list):
        for held in value:
            yield from _typed(held, units)
    elif isinstance(value, int | float | str) and not isinstance(value, bool) and _BARE.fullmatch(str(value)):
        try:
            yield abs(read_length(str(value), units))
        except LengthError:
            return


def _bare(mm: float, units: Units) -> str:
    """The number as it was typed."""
    return f"{mm if units == 'mm' else mm / 25.4:.5g}"
