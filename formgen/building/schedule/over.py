"""Building: a recipe's plain data with one of its values typed over, and the places of what was typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from formgen.building.schedule.columns import LEGS, LEGS_RUN
from formgen.recipe.source import KeyPath, Place


class LeftBlank:
    """Marks a value of the base recipe that does not hold."""


def with_value(table: Mapping[str, Any], path: KeyPath, value: Any) -> dict[str, Any]:
    """A copy of a table in which the key at a path has the value, tables above it made where there are none."""
    first, *rest = path
    out = dict(table)
    if rest:
        inner = out.get(str(first))
        out[str(first)] = with_value(inner if isinstance(inner, dict) else {}, tuple(rest), value)
        if isinstance(value, LeftBlank) and not isinstance(inner, dict):
            out = dict(table)  # nothing to leave out
    elif isinstance(value, LeftBlank):
        out.pop(str(first), None)
    else:
        out[str(first)] = value
    return out


def with_legs(
    data: Mapping[str, Any], places: Mapping[KeyPath, Place], path: KeyPath, value: Any, place: Place
) -> tuple[dict[str, Any], dict[KeyPath, Place]]:
    """Legs and how they run stand in two columns, either of which may be in the base recipe as well.

    A length in the one becomes a table where the other says how they run, whichever column comes first.
    """
    part = data.get("part")
    held = part.get("legs") if isinstance(part, dict) else None
    if path == LEGS_RUN:
        if held is not None and not isinstance(held, dict):
            data = with_value(data, LEGS, {"length": held})
            places = {**places, (*LEGS, "length"): places[LEGS]}
        wanted = value
    else:
        run = held.get("run") if isinstance(held, dict) else None
        sizes = value if isinstance(value, dict) else {"length": value}
        plain = run is None or isinstance(value, LeftBlank) or "run" in sizes
        wanted = value if plain else {**sizes, "run": run}
    known: dict[KeyPath, Place] = {LEGS[:1]: Place(1, 1, 1, 1, None), LEGS: Place(1, 1, 1, 1, None), **places}
    if path == LEGS and isinstance(wanted, dict):
        known |= {(*LEGS, str(step)): place for step in wanted}
    return with_value(data, path, wanted), {**known, path: place}


def places_of(path: KeyPath, value: Any, typed: str, row: int) -> Iterator[tuple[KeyPath, Place]]:
    """Places for a cell's value and for whatever stands in its brackets."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, tuple) else ()
    whole = isinstance(value, dict | tuple)
    yield path, Place(row, 1, row, 1, None if whole else typed)
    for step, held in inner:
        yield from places_of((*path, step), held, str(held), row)
