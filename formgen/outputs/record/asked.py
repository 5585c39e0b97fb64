"""Stage `outputs`: from a job record back to the recipe that it was made from.

In: the table of a job record. Out: a `Recipe` equal to the one that was asked. The record holds
numbers in mm, rad, kPa and MPa under field names; here they become the texts that a recipe file would hold, so that
the strict models read them by the same rules.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any, get_origin

from pydantic import ValidationError

from formgen.errors import ExportError
from formgen.findings import Finding
from formgen.outputs.folder.names import JOB_FILE
from formgen.outputs.record.job import FORMAT
from formgen.outputs.record.reader import RecordError, read_record
from formgen.quoted import escaped, quoted, visible
from formgen.recipe.as_asked import drawings_asked
from formgen.recipe.model import Recipe
from formgen.recipe.schema import RecipeFile
from formgen.recipe.shop import Sheet, Shop
from formgen.recipe.strict import key_of

#: Field endings, or whole fields, whose values a recipe must write with a unit.
_WITH_UNIT = {"_rad": "rad", "_kpa": "kPa", "_mpa": "MPa", "_celsius": "C", "altitude_mm": "mm"}


def recipe_from_folder(folder: Path) -> Recipe:
    """The recipe that a finished folder was made from.

    Raises:
        ExportError: there is no job record in it, or none that can be read.
    """
    path = folder / JOB_FILE
    told = visible(path)
    try:
        record = read_record(path)
    except FileNotFoundError as err:
        raise ExportError(f"{told} is missing, expected a folder that formgen wrote: name that folder") from err
    except (OSError, RecordError) as err:
        raise ExportError(f"{told} cannot be read ({err}), expected a job record: build again from the recipe") from err
    if record.get("format") != FORMAT:
        got = quoted(record.get("format", "none"))
        raise ExportError(f"{told}: format = {got}, expected {FORMAT}: made by an earlier formgen: build it again")
    recipe = recipe_from_job(record, folder)
    for name in drawings_asked(recipe):
        _refuse_other_than_file(folder, name)
    return recipe


def _refuse_other_than_file(folder: Path, name: str) -> None:
    """Refuse a drawing kept with the files that is a link or no file, or lies in a linked folder."""
    way = [folder / step for step in (Path(name), *Path(name).parents) if step != Path()]
    if any(step.is_symlink() for step in way) or not way[0].is_file():
        raise ExportError(
            f"{escaped(folder.name)}: {escaped(name)} is missing or is no file, expected the drawing: build again"
        )


def recipe_from_job(record: Mapping[str, Any], folder: Path) -> Recipe:
    """The recipe that a job was made from.

    Args:
        record: the table in `job.json`.
        folder: from where a drawing that the recipe names is found.

    Raises:
        ExportError: the record does not hold a recipe that this version understands.
    """
    mm = {"units": "mm"}
    try:
        asked = record["asked"]
        sections = {field for field, info in Shop.model_fields.items() if get_origin(info.annotation) is dict}
        own = Recipe(
            asked=RecipeFile.model_validate(_as_written(asked["recipe"]), context=mm),
            shop=Shop.model_validate(
                _as_written(_without(asked["shop"], asked.get("shop_defaults_used")), sections), context=mm
            ),
            folder=folder,
            sheet_name=_text(asked["sheet_name"]),
            sheet=Sheet.model_validate(_as_written(asked["sheet"]), context=mm),
            findings=tuple(_finding(held) for held in record.get("findings", ()) if held["code"].startswith("recipe.")),
            quantity=_quantity(asked),
            taken=tuple(_names(asked.get("recipe_defaults_used"))),
        )
        return replace(own, makes=tuple(_opening(held, own) for held in asked["makes"]))
    except ValidationError as err:
        first = err.errors()[0]
        where = ".".join(escaped(step) for step in first["loc"])
        what = "".join(c if c.isprintable() else " " for c in first["msg"])
        raise ExportError(f"job.json: asked: {where}: {what}; build again from the recipe") from err
    except (KeyError, TypeError, AttributeError, ValueError, ArithmeticError, RecursionError) as err:
        what = "".join(c if c.isprintable() else " " for c in repr(err))[:100]
        raise ExportError(f"job.json: asked: no whole recipe ({what}), expected formgen's own; build again") from err


def _names(held: Any) -> list[str]:
    """The fields that a record says nobody set; what is no list of names is left to the check of the record."""
    return held if isinstance(held, list) and all(isinstance(name, str) and name.isprintable() for name in held) else []


def _without(table: Mapping[str, Any], names: Any) -> dict[str, Any]:
    """A table without the fields that nobody set, `cutter.diameter_mm` or `altitude_mm`, which are then usual again."""
    out = dict(table)
    for name in _names(names):
        first, _, rest = name.partition(".")
        if not rest:
            out.pop(first, None)
        elif isinstance(out.get(first), Mapping):
            out[first] = _without(out[first], [rest])
    return out


def _opening(held: Mapping[str, Any], own: Recipe) -> Recipe:
    """An opening of a form that was made for several: its own asking, the form's sheet and shop."""
    asked = RecipeFile.model_validate(_as_written(held["recipe"]), context={"units": "mm"})
    return replace(own, asked=asked, findings=(), quantity=_quantity(held))


def _quantity(held: Mapping[str, Any]) -> int:
    quantity = held["quantity"]
    if type(quantity) is not int or quantity < 1:
        raise TypeError(f"quantity {quantity!r} is no whole number from 1 on")
    return quantity


def _finding(held: Mapping[str, Any]) -> Finding:
    """Return what was found of the asking itself, which only the files that were read could tell."""
    for text in (
        *(held[key] for key in ("code", "message", "unit", "source")),
        held.get("setting", ""),
        *held.get("steps", ()),
    ):
        _text(text)
    for key in ("value", "limit"):
        if held[key] is not None and type(held[key]) not in (int, float):
            raise TypeError(f"{key} {held[key]!r} is no number")
    return Finding.held(held)


def _text(held: Any) -> str:
    if not isinstance(held, str) or not held.isprintable():
        raise TypeError(f"{held!r} is no text of one line")
    return held


def _as_written(table: Mapping[str, Any], named: frozenset[str] | set[str] = frozenset()) -> dict[str, Any]:
    """A table with the keys and values of a recipe file; what was not given is left out.

    Args:
        table: field names and values.
        named: fields that hold tables whose keys are names of the shop's own, which stay as they are.
    """
    out: dict[str, Any] = {}
    for field, value in table.items():
        if value is None:
            continue
        if field in named:
            out[field] = {name: _value("", held) for name, held in value.items()}
        else:
            out[key_of(field)] = _value(field, value)
    return out


def _value(field: str, value: Any) -> Any:
    if isinstance(value, Mapping):
        return _as_written(value)
    if isinstance(value, list):
        return [_value(field, held) for held in value]
    unit = next((unit for ending, unit in _WITH_UNIT.items() if field.endswith(ending)), None)
    return f"{Decimal(repr(value)):f} {unit}" if unit and isinstance(value, float) else value
