"""Stage `reports`: the recipe and the shop as understood, key by key, in the recipe's units, usual values marked.

In: a Recipe. Out: rows (key, value, who set it). The keys are those of the files; nothing is computed here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from pydantic import BaseModel

from formgen.amounts import altitude_text, pressure_text, spread_text, stress_text, temperature_text
from formgen.lengths import Units, write_fine, write_length
from formgen.recipe.model import Recipe
from formgen.recipe.strict import key_of

Row = tuple[str, str, str]

#: Lengths that a caliper measures.
_FINE = ("thickness_mm", "tolerance_mm", "kerf_mm", "planing_mm", "ply_thicknesses_mm")
GIVEN, USUAL, CHOSEN = "recipe", "usual", "chosen"


def recipe_rows(recipe: Recipe) -> Iterable[Row]:
    """List what the recipe says, and what the program chose where nobody typed it."""
    units, taken = recipe.units, {".".join(map(key_of, name.split("."))) for name in recipe.taken}
    for field in ("part", "laminate", "press", "form"):
        for key, value, who in _rows(getattr(recipe.asked, field), field, units, GIVEN):
            yield key, value, CHOSEN if who == GIVEN and key in taken else who


def shop_rows(recipe: Recipe) -> Iterable[Row]:
    """The sheet that is cut, and what the shop file says or leaves at its usual value."""
    units = recipe.units
    yield "layers are cut from", recipe.sheet_name, ""
    yield from _rows(recipe.sheet, "sheet", units, "shop file")
    for field in type(recipe.shop).model_fields:
        if field not in ("format", "units", "sheets", "note"):
            yield from _field(recipe.shop, field, key_of(field), units, "shop file")


def _rows(model: BaseModel, within: str, units: Units, who: str) -> Iterable[Row]:
    for field in type(model).model_fields:
        yield from _field(model, field, f"{within}.{key_of(field)}", units, who)


def _field(model: BaseModel, field: str, key: str, units: Units, who: str) -> Iterable[Row]:
    """A field's rows; it is usual where its value is what stands when nothing is said."""
    value, info = getattr(model, field), type(model).model_fields[field]
    usual = not info.is_required() and value == info.get_default(call_default_factory=True)
    yield from _value(key, field, value, units, USUAL if usual else who)


def _value(key: str, field: str, value: Any, units: Units, who: str) -> Iterable[Row]:
    if isinstance(value, BaseModel):
        yield from _rows(value, key, units, who)
    elif isinstance(value, Mapping):
        for name, held in value.items():
            yield from _value(f"{key}.{name}", field, held, units, who)
    elif isinstance(value, tuple) and any(isinstance(held, BaseModel) for held in value):
        for i, held in enumerate(value, start=1):
            yield from _value(f"{key}.{i}", field, held, units, who)
    elif (value is not None and value != ()) or who != USUAL:
        yield key, _text(field, value, units), who


def _text(field: str, value: Any, units: Units) -> str:
    """A value as the recipe could write it."""
    if isinstance(value, tuple):
        return "; ".join(_text(field, held, units) for held in value)
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: "none"}[value]
    if not isinstance(value, float):
        return str(value)
    write = next((write for ending, write in _WRITERS if field.endswith(ending)), _plainly)
    return write(value, units)


def _degrees(rad: float, _units: Units) -> str:
    return f"{math.degrees(rad):.2f}°"


def _plainly(value: float, _units: Units) -> str:
    return f"{value:g}"


#: How a number is written, by the end of its field's name: the first that fits.
_WRITERS: tuple[tuple[tuple[str, ...] | str, Callable[[float, Units], str]], ...] = (
    ("altitude_mm", altitude_text),
    (_FINE, write_fine),
    (("_mm", "legs"), write_length),
    ("_rad", _degrees),
    ("_kpa", pressure_text),
    ("_mpa", stress_text),
    ("_celsius", temperature_text),
    ("spread_g_per_m2", spread_text),
)
