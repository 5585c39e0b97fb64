"""Stage `recipe`: a sense of size: numbers that are more likely a slip than meant, each with its likely cause.

In: the recipe as understood and as typed, the sheet that it is cut from. Out: warnings, which a refusal that comes of
such a number repeats. Units are called wrong where arch, depth and thickness all look so, or one of them past what
anybody makes; span and rise swapped where they would be an arch the other way round; a sheet where none is so small.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from itertools import chain
from typing import Any

from pydantic import ValidationError

from formgen.errors import LengthError
from formgen.findings import Finding, finding
from formgen.lengths import Units, read_length
from formgen.recipe.data_file import read_table
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Sheet

#: A number that says no unit: `36`, `5.25`, `4 9/16`.
_BARE = re.compile(r"\s*-?[0-9][0-9 ./-]*\s*")
#: What an arch's table holds beside lengths.
_NO_LENGTH = ("kind", "sweep", "fit", "file", "layer", "line", "near", "units")
#: Arches whose lengths do not say how wide they are.
_NO_WIDTH = ("points", "drawing")


def unlikely(asked: RecipeFile, data: Mapping[str, Any], sheet: Sheet, *, own_sheet: bool) -> Iterator[Finding]:
    """The likeliest slip in the sizes of a part, and one in those of the sheet.

    Args:
        asked: the recipe, understood.
        data: the same as it was typed, keys as in YAML.
        sheet: that the layers are cut from.
        own_sheet: True if the shop file gave its sizes.
    """
    slips = chain(unlikely_units(asked, data), _swapped(asked), _one_alone(asked, data))
    first = next(slips, None)
    if first is not None:
        yield first
    least = limits()["sheet"]
    if own_sheet and (sheet.length_mm < least["length_mm"] or sheet.thickness_mm < least["thickness_mm"]):
        yield finding(
            "recipe.sheet-unlikely",
            asked.units,
            value=sheet.length_mm,
            limit=least["length_mm"],
            width=sheet.width_mm,
            thickness=sheet.thickness_mm,
            sizes_source=least["source"],
        )


def _swapped(asked: RecipeFile) -> Iterator[Finding]:
    """Span and rise (of a serpentine its offset) where they are no arch as typed, and one the other way round."""
    arch = asked.part.arch
    span = getattr(arch, "span_mm", None)
    rise = getattr(arch, "offset_mm" if arch.kind == "serpentine" else "rise_mm", None)
    most = limits()["swapped"].get(arch.kind)
    if span is None or rise is None or most is None or rise <= most * span or span > most * rise:
        return
    yield finding(
        "recipe.sizes-swapped",
        asked.units,
        value=rise,
        limit=most * span,
        span=span,
        other="offset" if arch.kind == "serpentine" else "rise",
        sizes_source=limits()["swapped"]["source"],
    )


def _one_alone(asked: RecipeFile, data: Mapping[str, Any]) -> Iterator[Finding]:
    """A size of the part past what anybody makes, however ordinary the others are."""
    units, part, bounds = asked.units, data["part"], limits()["alone"]
    wide = {} if asked.part.arch.kind in _NO_WIDTH else {"arch": part.get("arch")}
    typed = wide | {"depth": part.get("depth"), "thickness": data["laminate"].get("thickness")}
    for what, value in typed.items():
        mm, bare = max(_sizes(value, units), default=(None, False))
        least, most = (bounds[which][f"{what}_mm"] for which in ("least", "most"))
        if mm is None or least <= mm <= most:
            continue
        small = mm < least
        cause = {("mm", True): "inches", ("in", False): "millimetres"}.get((units, small)) if bare else None
        yield finding(
            "recipe.size-unlikely",
            units,
            value=mm,
            limit=least if small else most,
            what=what,
            than="small" if small else "large",
            cause=cause or "unit",
            mend="beside" if bare else "correct",
            sizes_source=bounds["source"],
        )


@cache
def limits() -> Mapping[str, Any]:
    """The sizes that nobody has or asks for."""
    return read_table("unlikely")


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
    past, sign, other = ("up_to", 1.0, "in") if units == "mm" else ("from", -1.0, "mm")
    bounds = limits()[past][units]
    if any(sign * mm > sign * bounds[f"{what}_mm"] for what, mm in found.items()):
        return
    arch_text, depth_text, thick_text = (_bare(mm, units) for mm in found.values())
    said = finding(
        "recipe.units-unlikely",
        units,
        value=found["depth"],
        limit=bounds["depth_mm"],
        arch=arch_text,
        depth=depth_text,
        thickness=thick_text,
        written=units,
        other=other,
        likely=other,
        sizes_source=bounds["source"],
    )
    yield replace(said, setting=f"units={other}") if _reads_in(other, data) else said


def _reads_in(units: str, data: Mapping[str, Any]) -> bool:
    """Tell whether the recipe can be read in those units: a fraction without a unit cannot in mm."""
    try:
        RecipeFile.model_validate({**data, "units": units}, context={"units": units})
    except ValidationError:
        return False
    return True


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
    yield from (mm for mm, bare in _sizes(value, units) if bare)


def _sizes(value: Any, units: Units) -> Iterator[tuple[float, bool]]:
    """Sizes (mm) of every length below a value, and whether it was typed without a unit."""
    if isinstance(value, Mapping):
        for key, held in value.items():
            if key not in _NO_LENGTH:
                yield from _sizes(held, units)
    elif isinstance(value, tuple | list):
        for held in value:
            yield from _sizes(held, units)
    elif isinstance(value, int | float | str) and not isinstance(value, bool):
        try:
            yield abs(read_length(str(value), units)), _BARE.fullmatch(str(value)) is not None
        except LengthError:
            return


def _bare(mm: float, units: Units) -> str:
    """The number as it was typed."""
    return f"{mm if units == 'mm' else mm / 25.4:.5g}"
