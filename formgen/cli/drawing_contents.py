"""`formgen show drawing FILE`: what is in a drawing, and what a recipe says to take each line; 80 columns or JSON."""

from __future__ import annotations

import json
import math
import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from textwrap import wrap
from typing import Any

import click

from formgen.cli.streams import emit_json
from formgen.curve.drawn.listing import Layer, Listed, Listing, list_drawing
from formgen.curve.drawn.path import number_text, units_for
from formgen.quoted import shown, visible
from formgen.units import LENGTH_MM

_WIDTH = 80
#: So many layers and lines are shown; the rest are counted.
_MOST_LAYERS, _MOST_PATHS = 12, 8


def show_drawing(words: tuple[str, ...], *, as_json: bool) -> int:
    """List a drawing on stdout."""
    if len(words) != 1:
        raise click.UsageError("name one drawing: formgen show drawing FILE.dxf")
    found = list_drawing(Path(words[0]))
    if as_json:
        emit_json(_record(found))
    else:
        sys.stdout.write("".join(f"{shown(line).rstrip()}\n" for line in _lines(found)))
    return 0


def _lines(found: Listing) -> Iterator[str]:
    unit = found.drawing.unit
    yield from wrap(f"{found.drawing.name}: {f'drawn in {unit}' if unit else _no_unit(found)}", _WIDTH)
    yield ""
    yield "Layers"
    with_lines = sorted(found.layers, key=lambda layer: not any(p.layer == layer.name for p in found.paths))
    room = max((len(layer.name) for layer in with_lines[:_MOST_LAYERS]), default=0)
    for layer in with_lines[:_MOST_LAYERS]:
        yield from _layer(layer, min(room, 30))
    yield from _more(len(with_lines) - _MOST_LAYERS)
    yield ""
    bend = [path for path in found.paths if not path.closed]
    yield f"Lines that bend, open and without a corner: {len(bend) or 'none'}"
    if bend:
        yield "To take one, write its arch under part: in a recipe beside the drawing."
    for number, path in enumerate(bend[:_MOST_PATHS], 1):
        yield from _path(number, path, unit or "")
    yield from _more(len(bend) - _MOST_PATHS)
    left = [
        f"{count} {one if count == 1 else several}"
        for count, one, several in (
            (found.straight, "straight line", "straight lines"),
            (len(found.paths) - len(bend), "closed curve", "closed curves"),
            (len(found.unread), "line that cannot be read", "lines that cannot be read"),
            (found.left, "ellipse or spline not looked at", "ellipses and splines not looked at"),
        )
        if count
    ]
    if left:
        yield ""
        yield from wrap(f"Not for a part: {', '.join(left)}.", _WIDTH)
        yield from wrap(found.unread[0], _WIDTH, initial_indent="  ", subsequent_indent="  ") if found.unread else ()


def _no_unit(found: Listing) -> str:
    largest = max((max(path.width, path.height) for path in found.paths), default=0.0)
    units = units_for(largest)
    sizes = " or ".join(f"{number_text(largest)} {unit}" for unit in units)
    return f"does not say its units. Is the widest line {sizes}? Add units: {' or units: '.join(units)} to the arch."


def _layer(layer: Layer, room: int) -> Iterator[str]:
    said = _counted(layer.holds)
    if layer.in_blocks:
        said = f"{said}{'; ' if said else ''}in blocks: {_counted(layer.in_blocks)}"
    head = f"  {visible(layer.name).ljust(room)}  "
    yield from wrap(
        f"{said}{'' if layer.shown else ' (off)'}", _WIDTH, initial_indent=head, subsequent_indent=" " * len(head)
    )


def _counted(holds: Mapping[str, int]) -> str:
    return ", ".join(f"{count} {noun}" for noun, count in holds.items())


def _path(number: int, path: Listed, unit: str) -> Iterator[str]:
    length, width, height = (number_text(size) for size in (path.length, path.width, path.height))
    pieces = [
        f"{n} {noun}{'s' if n > 1 else ''}" for n, noun in ((path.arcs, "arc"), (path.straights, "straight")) if n
    ]
    ends = ("", ", a corner at one end", ", a corner at both ends")[path.corners]
    block = f", in block {visible(path.block)}" if path.block else ""
    said = (
        f"{length} {unit} long, {width} wide, {height} high; {' and '.join(pieces)}, turns "
        f"{abs(math.degrees(path.turns_rad)):.1f}°{ends}; on {visible(path.layer)}{block}"
    )
    yield from wrap(" ".join(said.split()), _WIDTH, initial_indent=f"{number:3}  ", subsequent_indent="     ")
    if path.takes is None:
        yield "     not taken by any line of a recipe: put it on a layer of its own"
        return
    typed = f"arch: {{kind: drawing, {', '.join(f'{key}: {_typed(value)}' for key, value in path.takes.items())}}}"
    yield from wrap(
        typed, _WIDTH, initial_indent="     ", subsequent_indent="            ", break_long_words=False,
        break_on_hyphens=False,
    )  # fmt: skip


def _typed(value: Any) -> str:
    """A value as YAML takes it within braces."""
    if not isinstance(value, str):
        return "[{:.10g}, {:.10g}]".format(*value)
    plain = re.fullmatch(r"[A-Za-z][A-Za-z0-9_./-]*", value)
    return value if plain and value.lower() not in _NOT_TEXT else json.dumps(value, ensure_ascii=False)


#: Words that YAML takes for something else than a text.
_NOT_TEXT = {"true", "false", "yes", "no", "on", "off", "y", "n", "null"}


def _more(count: int) -> Iterator[str]:
    if count > 0:
        yield f"  {count} more: --json"


def _record(found: Listing) -> dict[str, Any]:
    unit = found.drawing.unit
    per_mm = float(LENGTH_MM[unit]) if unit else None
    return {
        "file": found.drawing.name,
        "units": unit,
        "layers": [
            {"name": x.name, "shown": x.shown, "holds": dict(x.holds), "in_blocks": dict(x.in_blocks)}
            for x in found.layers
        ],
        "paths": [
            {
                "layer": path.layer,
                "block": path.block or None,
                "length": path.length,
                "width": path.width,
                "height": path.height,
                "length_mm": path.length * per_mm if per_mm else None,
                "width_mm": path.width * per_mm if per_mm else None,
                "height_mm": path.height * per_mm if per_mm else None,
                "arcs": path.arcs,
                "straights": path.straights,
                "turns_deg": math.degrees(path.turns_rad),
                "open": not path.closed,
                "corners_at_ends": path.corners,
                "arch": {"kind": "drawing", **path.takes} if path.takes else None,
            }
            for path in found.paths
        ],
        "straight_lines": found.straight,
        "cannot_be_read": list(found.unread),
        "not_looked_at": found.left,
    }
