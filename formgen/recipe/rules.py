"""Stage `recipe`: what no single key can say: plies that must agree, unlikely units.

In: sources as read, and the laminate if it could be understood. Out: mistakes.

Last, a warning about numbers that are more likely of the other unit: inches in a file that says mm, or the reverse.
Only numbers without a unit of their own are looked at, and only where arch, depth and thickness all look wrong: one
alone may be meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import ValidationError

from formgen.errors import LengthError
from formgen.findings import Finding, finding
from formgen.lengths import Units, read_length
from formgen.recipe.data_file import read_table
from formgen.recipe.mistakes import Mistake, at_missing, at_value
from formgen.recipe.schema import MOST_PLIES, LaminateAsk, PlyGroup, RecipeFile
from formgen.recipe.source import Source

#: How far a thickness that is given beside groups of plies may be from their sum (mm).
THICKNESS_AGREES_MM = 0.1
_WOOD, _PLIES, _THICKNESS = (("laminate", key) for key in ("wood", "plies", "thickness"))
#: A number that says no unit: `36`, `5.25`, `4 9/16`.
_BARE = re.compile(r"\s*-?[0-9][0-9 ./-]*\s*")
#: What an arch's table holds beside lengths.
_NO_LENGTH = ("kind", "sweep", "fit", "file", "layer")


def laminate(ask: LaminateAsk, recipe: Source) -> Iterator[Mistake]:
    """Plies without a thickness, a wood or a modulus, thinner than any, or with a sum that is not the thickness."""
    yield from _too_thin(ask, recipe)
    common = ask.wood is not None or ask.modulus_mpa is not None
    if not isinstance(ask.plies, tuple):
        what = "plies: auto" if ask.plies == "auto" else "a number of plies"
        if ask.thickness_mm is None:
            yield at_missing(
                recipe, _THICKNESS, f"expected the part's thickness beside {what}; add it, or list the plies"
            )
        if ask.plies == "auto" and ask.wood is None:
            yield at_missing(
                recipe, _WOOD, "expected a wood, whose strength chooses the plies; add one, or give their number"
            )
        elif not common:
            yield at_missing(recipe, _WOOD, "expected a wood or a modulus for the plies; add one")
        return
    yield from _groups(ask.plies, ask, recipe, common=common)


def _too_thin(ask: LaminateAsk, recipe: Source) -> Iterator[Mistake]:
    """Plies that nobody can have: most likely numbers of the other unit."""
    least, of = float(_limits()["ply"]["least_mm"]), "check units:, or write the unit beside the number"
    if isinstance(ask.plies, tuple):
        for i, group in enumerate(ask.plies):
            if group.thickness_mm < least:
                path = (*_PLIES, i, "thickness")
                yield at_value(recipe, path, f"expected a ply of {least:g} mm or more; {of}")
    elif isinstance(ask.plies, int) and ask.thickness_mm is not None and ask.thickness_mm / ask.plies < least:
        thin = ask.thickness_mm / ask.plies
        yield at_value(
            recipe, _PLIES, f"expected plies of {least:g} mm or more, got {thin:.3g} mm each; {of}, or take fewer"
        )


def _groups(groups: tuple[PlyGroup, ...], ask: LaminateAsk, recipe: Source, *, common: bool) -> Iterator[Mistake]:
    count = sum(group.count for group in groups)
    if count > MOST_PLIES:
        yield at_value(recipe, _PLIES, f"expected at most {MOST_PLIES} plies in all, got {count}; take some out")
    together_mm = sum(group.count * group.thickness_mm for group in groups)
    if ask.thickness_mm is not None and abs(together_mm - ask.thickness_mm) > THICKNESS_AGREES_MM:
        yield at_value(
            recipe, _THICKNESS,
            f"expected {together_mm:.2f} mm, which the plies add up to; delete it or correct the plies",
        )  # fmt: skip
    for i, group in enumerate(groups):
        if not common and group.wood is None and group.modulus_mpa is None and group.panel is None:
            path = (*_PLIES, i, "wood")
            yield at_missing(recipe, path, "expected a wood or a modulus for every ply; add one here or under laminate")


@cache
def _limits() -> Mapping[str, Any]:
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
    limits = _limits()[past][units]
    if any(sign * mm > sign * limits[f"{what}_mm"] for what, mm in found.items()):
        return
    arch_text, depth_text, thick_text = (_bare(mm, units) for mm in found.values())
    said = finding(
        "recipe.units-unlikely",
        units,
        value=found["depth"],
        limit=limits["depth_mm"],
        arch=arch_text,
        depth=depth_text,
        thickness=thick_text,
        written=units,
        other=other,
        likely=other,
        sizes_source=limits["source"],
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
