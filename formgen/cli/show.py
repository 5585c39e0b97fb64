"""`formgen show`: what the program knows by name, a block for each entry, no wider than a screen of 80 columns."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, fields
from textwrap import wrap
from typing import Any

import click

from formgen.cli import options
from formgen.cli.exit_codes import guarded
from formgen.cli.streams import emit_json
from formgen.errors import RecipeError
from formgen.quoted import quoted

KINDS = ("woods", "panels", "veneers", "sheets", "between", "arches", "adhesives", "glues", "cautions", "findings")
#: Columns of the screen, and where a value begins under its entry's name.
WIDTH, INDENT = 80, 22
#: A field's unit, by the end of its name.
_UNITS: Mapping[str, str] = {
    "_kg_per_m3": "kg/m³", "_g_per_m2": "g/m²", "_mm": "mm", "_mpa": "MPa", "_min": "min", "_c": "°C",
}  # fmt: skip
#: Fields whose own name says too little.
_LABELS: Mapping[str, str] = {
    "strength_mpa": "bending strength",
    "change_radial": "swells across rings",
    "change_tangential": "swells along rings",
    "change_how_sure": "how sure, swelling",
    "open_min": "open time",
    "clamp_min": "time in the press",
    "good_glues": "glues found to hold",
    "give": "sizes to give",
}
#: Fields that a heading says already, or that only a shop's own entry fills.
_HEADING = ("name", "also", "code", "case", "like", "own", "own_source")
#: What a panel's rows are, in order.
_LAYER = "{:g} mm of {} veneers: R {:g} mm across the face grain"


@click.command()
@click.argument("what", metavar="KIND", type=click.Choice((*KINDS, "drawing"), case_sensitive=False))
@click.argument("words", metavar="[WORD]...", nargs=-1)
@options.as_json
@guarded
def show(what: str, words: tuple[str, ...], *, as_json: bool) -> int:
    """Show the catalogue or the findings, each with its source.

    KIND is woods, panels, veneers, sheets, between, arches, adhesives, cautions or findings. With words behind it,
    only what has them all in its names: formgen show woods oak. `show drawing FILE` lists what is in an architect's
    drawing, and what a recipe says to take each line of it.
    """
    if what == "drawing":
        from formgen.cli.drawing_contents import show_drawing

        return show_drawing(words, as_json=as_json)
    entries = _entries(what)
    found = [entry for entry in entries if _has(entry, words)]
    if not found:
        raise _nothing(what, words, entries)
    if as_json:
        emit_json([asdict(entry) for entry in found])
    else:
        sys.stdout.write("\n\n".join("\n".join(_block(entry)) for entry in found) + "\n")
    return 0


def _entries(what: str) -> list[Any]:
    from formgen.findings.listing import entries as findings
    from formgen.recipe.catalogue import adhesives, arches, cautions, layers_between, panels, sheets, veneers, woods

    tables: dict[str, Callable[[], Mapping[str, Any]]] = {
        "woods": woods,
        "panels": panels,
        "veneers": veneers,
        "sheets": sheets,
        "between": layers_between,
        "arches": arches,
        "adhesives": adhesives,
        "glues": adhesives,
        "cautions": cautions,
    }
    return list(findings()) if what == "findings" else list(tables[what]().values())


def _names(entry: Any) -> Iterable[str]:
    """All that an entry is called: names and other names, of a finding code, case and title."""
    held = (getattr(entry, name, None) for name in ("name", "code", "case", "title"))
    return (*(text for text in held if text), *getattr(entry, "also", ()))


def _has(entry: Any, asked: Sequence[str]) -> bool:
    """Tell whether every word stands in the entry's names, as a word or the beginning of one."""
    from formgen.recipe.names import words

    known = [word for name in _names(entry) for word in words(name)]
    return all(any(held.startswith(word) for held in known) for text in asked for word in words(text) or (text,))


def _nothing(what: str, asked: Sequence[str], entries: Sequence[Any]) -> RecipeError:
    from formgen.recipe.names import in_columns

    names = list(dict.fromkeys(next(iter(_names(entry))) for entry in entries))
    return RecipeError(
        f"formgen show {what}: {quoted(' '.join(asked))} stands in no name of {len(names)}, expected words of one; "
        "take one of those below"
        if len(names) > 1
        else f"formgen show {what}: nothing there",
        aid="\n".join(in_columns(names)),
    )


def _block(entry: Any) -> Iterable[str]:
    """Lines of an entry: its name with its other names, then a line for each thing that is known of it."""
    first, *_ = _names(entry)
    case = getattr(entry, "case", None)
    yield f"{first} ({case})" if case else first
    also = getattr(entry, "also", ())
    if also:
        yield from _lines("also", ", ".join(also))
    for field in fields(entry):
        value = getattr(entry, field.name)
        if field.name in _HEADING or value in (None, "", ()) or (value is False and field.default is False):
            continue
        label, unit = _label(field.name)
        texts = _layers(value) if field.name == "layers" else (f"{_text(value)} {unit}".rstrip(),)
        if field.name in ("change_radial", "change_tangential"):
            texts = (f"{100 * value:.3f} % for 1 % of moisture",)
        for i, text in enumerate(texts):
            yield from _lines("" if i else label, text)


def _label(name: str) -> tuple[str, str]:
    """A field's name in words, and its unit."""
    unit = next((ending for ending in _UNITS if name.endswith(ending)), "")
    return _LABELS.get(name, name.removesuffix(unit).replace("_", " ")), _UNITS.get(unit, "")


def _layers(rows: Sequence[Sequence[Any]]) -> Iterable[str]:
    """A panel's thicknesses, each with its least radii."""
    for mm, veneers, across, along in rows:
        yield _LAYER.format(mm, veneers, across) + ("" if along is None else f", {along:g} along it")


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        numbers = all(isinstance(held, int | float) for held in value)
        return (" to " if numbers else "; ").join(_text(held) for held in value)
    return str(value)


def _lines(label: str, text: str) -> Iterable[str]:
    """A label and its text, which goes on below itself."""
    broken = wrap(re.sub(r"\s+", " ", text), WIDTH - INDENT, break_on_hyphens=False)
    for i, line in enumerate(broken or [""]):
        yield f"  {('' if i else label).ljust(INDENT - 2)}{line}"
