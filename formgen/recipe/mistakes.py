"""Stage `recipe`: what the models refuse, said in one line each with the place in the file.

In: pydantic's errors and the source they arose from. Out: `porch.yaml:14:7: part.arch.rise = "-4 in", expected …; …`.
Keys that an earlier formgen knew are told with the line to type instead.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from formgen.errors import LengthError
from formgen.quoted import escaped, quoted
from formgen.recipe.schema import SHORT, RecipeFile
from formgen.recipe.source import KeyPath, Source
from formgen.recipe.strict import LIST, TABLE, VALUE, Strict

#: By the key's place: what was typed, and the line that says the same now; an empty text stands for anything else.
GONE: Mapping[KeyPath, Mapping[str, str]] = {
    ("press", "form_in_bag"): {
        "true": "press.way: form-bagged",
        "false": "press.way: part-bagged",
        "": "press.way: part-bagged, form-bagged or clamped",
    }
}


#: What is said of a key that must be given beside what every such key is told, by the last steps of its place.
LIKE = "it is the catalogue's glue whose figures stand where your data sheet says nothing"
_WHY: Mapping[tuple[str, str], str] = {("adhesives", "like"): LIKE}


def line_instead(path: KeyPath, typed: str | None) -> str | None:
    """`expected press.way: form-bagged; type that instead`; None for a key that nobody ever knew."""
    lines = GONE.get(path)
    return None if lines is None else f"expected {lines.get(typed or '', lines[''])}; type that instead"


#: What was expected, by pydantic's error type; `{…}` is filled from the error's context.
_EXPECTED: Mapping[str, str] = {
    "bool_type": "expected true or false; write one of them without quotes",
    "int_type": "expected a whole number; write it without a unit or quotes",
    "float_type": "expected a number; write it without a unit or quotes",
    "string_type": "expected a text; put it in quotes if it looks like a number",
    "dict_type": "expected a table; write its keys below, indented",
    "model_type": "expected a table; write its keys below, indented",
    "model_attributes_type": "expected a table; write its keys below, indented",
    "tuple_type": "expected a list; write [a, b] or lines that begin with -",
    "too_short": "expected at least {min_length}, got {actual_length}; add what is missing",
    "too_long": "expected at most {max_length}, got {actual_length}; take some out",
    "greater_than": "expected more than {gt}; correct it",
    "greater_than_equal": "expected {ge} or more; correct it",
    "less_than": "expected less than {lt}; correct it",
    "less_than_equal": "expected {le} or less; correct it",
    "finite_number": "expected a finite number; correct it",
}


#: The same where a list or table might have stood instead.
_EXPECTED_IN_UNION: Mapping[str, str] = {
    "bool_type": "expected true, false or a table of sizes; write one of them without quotes",
    "int_type": "expected a whole number, auto or a list; write a number without a unit or quotes",
}


@dataclass(frozen=True, kw_only=True, order=True)
class Mistake:
    """One thing to put right: place counted from 1, what to say, and the key that it is about (empty for a file).

    `aid` is what a screen shows below it, such as all names of a kind.
    Line 0 stands for a place that has none: `file` says it, as `--set form.backing`.
    """

    file: str
    line: int
    column: int
    message: str
    path: KeyPath = field(default=(), compare=False)
    aid: str = field(default="", compare=False)

    def __str__(self) -> str:
        if self.line:
            return f"{self.file}:{self.line}:{self.column}: {self.message}"
        key = self.file.partition(" ")[2]  # `--set form.backing`, and a message that mostly begins with the same key
        rest = self.message.removeprefix(key) if key else self.message
        return f"{self.file}{rest}" if rest != self.message and rest[:1] in " ,[." else f"{self.file}: {self.message}"


def at_value(source: Source, path: KeyPath, expected: str) -> Mistake:
    """A value that is not what was expected: `key = "typed", expected …`."""
    place = source.places[path]
    typed = f" = {quoted(place.typed)}" if place.typed is not None else ""
    named = f"{shown(source, path)}{typed}, " if path else ""
    message = named + expected
    return Mistake(file=place.said or source.name, line=place.line, column=place.column, message=message, path=path)


def at_key(source: Source, path: KeyPath, message: str) -> Mistake:
    """A key that stands there and should not, or not so."""
    place = source.places[path]
    file = place.said or source.name
    return Mistake(file=file, line=place.key_line, column=place.key_column, message=message, path=path)


def at_missing(source: Source, path: KeyPath, expected: str) -> Mistake:
    """A key that is not there, reported where its table begins."""
    place = source.places[path[:-1]]
    in_a_table = len(path) > 1 and path not in source.short
    line, column = (place.key_line, place.key_column) if in_a_table else (1, 1)
    message = f"{shown(source, path)} is missing, {expected}"
    return Mistake(file=place.said or source.name, line=line, column=column, message=message, path=path)


def shown(source: Source, path: KeyPath) -> str:
    """The key as it was typed, or would be: `depth` where that stands at the recipe's top, else `part.depth`."""
    return dotted(path[1:] if path[:2] in source.short else path)


def dotted(path: KeyPath) -> str:
    """`laminate.plies[2].wood`: list items are counted from 1, as people count."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{escaped(step)}" if text else escaped(step)
    return text


def from_validation(error: ValidationError, source: Source, model: type[Strict]) -> list[Mistake]:
    """Every mistake that the models found, apart from those that a value left empty has already."""
    found = []
    for details in error.errors(include_url=False):
        path = key_path(details["loc"], details["type"])
        mistake = _mistake(details, path, source, model)
        if mistake is not None:
            found.append(mistake)
    return found


def left_empty(source: Source) -> list[Mistake]:
    """Keys with nothing after the colon, and list items with nothing after the dash."""
    found = []
    for path in _empty_paths((), source.data):
        if source.places[path].typed is not None:  # an alias is a mistake of its own
            message = f"{shown(source, path)} has no value, expected one; write it or delete the line"
            found.append(at_key(source, path, message))
    return found


def _empty_paths(path: KeyPath, data: Any) -> Iterator[KeyPath]:
    if data is None and path:
        yield path
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from _empty_paths((*path, key), value)
    elif isinstance(data, tuple):
        for i, value in enumerate(data):
            yield from _empty_paths((*path, i), value)


def key_path(location: tuple[str | int, ...], kind: str) -> KeyPath:
    """Pydantic's location without what is not in the file: the tags of unions."""
    path: list[str | int] = []
    for i, step in enumerate(location):
        is_key = kind == "extra_forbidden" and i == len(location) - 1
        is_tag = step in (VALUE, LIST, TABLE) or (i > 0 and location[:i] == ("part", "arch"))
        if step != "[key]" and (is_key or not is_tag):
            path.append(step)
    return tuple(path)


def _mistake(  # noqa: PLR0911 -- one answer for each kind of mistake
    details: ErrorDetails, path: KeyPath, source: Source, model: type[Strict]
) -> Mistake | None:
    kind, context = details["type"], details.get("ctx", {})
    if kind == "missing":
        under = shown(source, path[:-1]) if len(path) > 1 and path not in source.short else ""
        why = _WHY.get((str(path[0]), str(path[-1])))
        added = f"and must be given; add {path[-1]}:{f' under {under}' if under else ''}"
        return at_missing(source, path, f"{added}; {why}" if why else added)
    if path not in source.places or (path and details["input"] is None):
        return None  # it was left empty or read past, which is a mistake of its own
    if kind == "extra_forbidden":
        instead = line_instead(path, source.places[path].typed)
        if instead is not None:
            return at_value(source, path, instead)
        return _unknown_key(source, path, models_at(model, details["loc"][:-1]))
    if kind == "union_tag_not_found":
        kinds = ", ".join(k for table in models_at(model, details["loc"]) for k in _kinds(table))
        return at_missing(source, (*path, "kind"), f"expected one of {kinds}; add kind: with one of them")
    if kind == "union_tag_invalid":
        choices = [tag.strip("'") for tag in str(context["expected_tags"]).split(", ")]
        return at_value(source, (*path, "kind"), _one_of(choices, context["tag"]))
    if kind == "literal_error":
        choices = [choice.strip("'") for choice in str(context["expected"]).replace(" or ", ", ").split(", ")]
        return at_value(source, path, _one_of(choices, details["input"]))
    return at_value(source, path, _expected(details))


def _expected(details: ErrorDetails) -> str:
    kind, context = details["type"], details.get("ctx", {})
    if kind == "value_error":
        error = context["error"]
        return error.expected if isinstance(error, LengthError) else str(error)
    if kind == "shape":
        return f"{details['msg']}; rewrite it"
    text = _EXPECTED.get(kind, f"expected otherwise ({details['msg'].lower()}); correct it").format_map(context)
    if VALUE in details["loc"][-1:]:
        text = _EXPECTED_IN_UNION.get(kind, text)
    return text


def _one_of(choices: list[str], got: Any) -> str:
    listed = f"{', '.join(choices[:-1])} or {choices[-1]}" if len(choices) > 1 else choices[0]
    near = get_close_matches(str(got)[:100], choices, n=1)
    return f"expected {listed}; {f'did you mean {near[0]}?' if near else 'write one of them'}"


def _unknown_key(source: Source, path: KeyPath, tables: list[type[BaseModel]]) -> Mistake:
    known, key = keys_of(tables), str(path[-1])[:100]
    near = get_close_matches(key, known, n=1)
    advice = f"did you mean {near[0]}?" if near else "correct or delete it"
    for section, table in tables[0].model_fields.items() if len(path) == 1 else ():
        if key in keys_of(list(models_in(table.annotation))):
            advice = f"write it under {section}"
    return at_key(source, path, f"{shown(source, path)} is not a key, expected {', '.join(known) or 'none'}; {advice}")


def models_at(model: type[BaseModel], location: tuple[str | int, ...]) -> list[type[BaseModel]]:
    """The models that may stand at a location of pydantic's, tags of unions included."""
    tables = [model]
    for step in location:
        inner = [a for t in tables for f in t.model_fields.values() if f.alias == step for a in models_in(f.annotation)]
        kinds = [t for t in tables if step in _kinds(t)]
        tables = inner or kinds or tables
    return tables


def keys_of(tables: list[type[BaseModel]]) -> list[str]:
    """The keys that any of the models knows; at the top of a recipe the short ones too."""
    keys = [field.alias or name for table in tables for name, field in table.model_fields.items()]
    return [*keys, *SHORT] if RecipeFile in tables else keys


def _kinds(table: type[BaseModel]) -> tuple[Any, ...]:
    field = table.model_fields.get("kind")
    return get_args(field.annotation) if field is not None else ()


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The models that a type may hold: through unions, lists, tables by name and annotations."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    elif get_origin(annotation) is Annotated:
        yield from models_in(get_args(annotation)[0])
    elif get_origin(annotation) in (Union, types.UnionType, tuple, dict):
        for inner in get_args(annotation):
            yield from models_in(inner)
