"""Stage `recipe`: what all models of the recipe and shop file share. Refuses whatever it does not know."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Annotated, Any, Literal, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Discriminator,
    WithJsonSchema,
    model_validator,
)

_UNIT_SUFFIX = re.compile(r"_(mm|rad|kpa|mpa|celsius|minutes)$")

#: Tags of unions that are told apart by the shape of what was written; none can be mistaken for a key.
VALUE, LIST, TABLE = "<value>", "<list>", "<table>"

_NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9_-]{0,59}$"
#: Names that Windows keeps for devices, whatever their case.
_RESERVED = frozenset({"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))})


def key_of(field_name: str) -> str:
    """The key that a field has in YAML: its name without the unit."""
    return _UNIT_SUFFIX.sub("", field_name)


class Strict(BaseModel):
    """A table that holds exactly the keys it knows, of exactly their types, and does not change."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        strict=True,
        allow_inf_nan=False,
        alias_generator=key_of,
        validate_by_alias=True,
        validate_by_name=False,
        defer_build=True,  # only the two files' own models are ever asked to validate: halves the start-up time
    )

    @model_validator(mode="before")
    @classmethod
    def _lists_do_not_change(cls, table: Any) -> Any:
        """Lists become tuples, which is what the strict models hold."""
        return {key: _as_tuples(value) for key, value in table.items()} if isinstance(table, dict) else table


def _as_tuples(value: Any) -> Any:
    return tuple(_as_tuples(item) for item in value) if isinstance(value, list) else value


def shape_of(value: Any) -> str:
    """Say which tag a written value belongs to: a table, a list or a single value."""
    if isinstance(value, dict | BaseModel):
        return TABLE
    return LIST if isinstance(value, list | tuple) else VALUE


def by_shape(expected: str) -> Discriminator:
    """A union told apart by shape, so that a mistake is reported once; `expected` says what may be written."""
    return Discriminator(shape_of, custom_error_type="shape", custom_error_message=expected)


def checked_name(name: str) -> str:
    """The name, if it is safe as a folder's name on every system; ValueError with `expected …; what to do` else."""
    if not re.fullmatch(_NAME_PATTERN, name) or name.endswith("\n"):
        raise ValueError(
            "expected 1 to 60 letters, digits, - or _, the first a letter or digit; it becomes a folder's name"
        )
    if name.lower() in _RESERVED:
        raise ValueError("expected a name that Windows does not keep for a device; choose another")
    return name


def _whole_number(value: Any) -> Any:
    """Refuses `true` and `1.0`, which Python holds equal to 1."""
    if type(value) is not int:
        raise ValueError("expected 1")
    return value


#: Version of the file's layout.
Format = Annotated[Literal[1], BeforeValidator(_whole_number)]

#: A name that is safe as a folder's name on every system.
Name = Annotated[
    str,
    AfterValidator(checked_name),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": _NAME_PATTERN,
            "description": "Letters, digits, - and _; it becomes a folder's name.",
        }
    ),
]

LONGEST_LINE = 200


def _check_line(text: str) -> str:
    if not text.strip() or len(text) > LONGEST_LINE or not text.isprintable():
        raise ValueError(f"expected one line of 1 to {LONGEST_LINE} printable characters; shorten it")
    return text


def _check_file(name: str) -> str:
    parts = re.split(r"[/\\]", name)
    if ".." in parts or parts[0] == "" or ":" in name:
        raise ValueError("expected a file beside the recipe or below its folder; no .., no colon, no / at the start")
    return name


#: A text of one line: names, sources, labels.
Line = Annotated[str, AfterValidator(_check_line), WithJsonSchema({"type": "string", "minLength": 1, "maxLength": 200})]
#: A file beside the recipe or below its folder.
FileBeside = Annotated[Line, AfterValidator(_check_file)]

Model = TypeVar("Model", bound=Strict)


def exactly(model: Model, *allowed: set[str]) -> Model:
    """The model, if the fields that were given (beside `kind`) are one of the allowed sets.

    Args:
        model: a model whose optional fields are None where they were not given.
        allowed: sets of field names.

    Raises:
        ValueError: another set was given; names the choices by their keys.
    """
    given = {name for name in type(model).model_fields if name != "kind" and getattr(model, name) is not None}
    if given in allowed:
        return model
    choices = ", or ".join(_keys(model, fields) for fields in allowed)
    raise ValueError(f"expected {choices}; got {_keys(model, given) or 'none of them'}")


def _keys(model: Strict, fields: set[str]) -> str:
    keys = [key_of(name) for name in type(model).model_fields if name in fields]
    return " and ".join(filter(None, [", ".join(keys[:-1]), *keys[-1:]]))


def defaults_used(model: BaseModel, within: str = "") -> Iterable[str]:
    """Fields that nobody set, as `cutter.diameter_mm`, at every depth."""
    for name in type(model).model_fields:
        value = getattr(model, name)
        if isinstance(value, BaseModel):
            yield from defaults_used(value, f"{within}{name}.")
        elif name not in model.model_fields_set:
            yield f"{within}{name}"


def fields_of(model: BaseModel, within: str = "") -> Iterable[str]:
    """All fields, as `cutter` and `cutter.diameter_mm`, at every depth."""
    for name in type(model).model_fields:
        yield f"{within}{name}"
        value = getattr(model, name)
        if isinstance(value, BaseModel):
            yield from fields_of(value, f"{within}{name}.")
