"""Stage `outputs`: what the drawings of a form must hold, from the model alone.

In: a `Form`. Out: `Drawn` shapes in mm, in no order that matters. The files are not looked at here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from formgen.form.model import Form
from formgen.form.stack import Label, Layer, Piece
from formgen.outputs.dxf.layers import in_a_row, names_of, sheet_notes, stack_layer, stack_notes
from formgen.outputs.dxf.names import LayerNames, allowed_name
from formgen.outputs.dxf.pen import open_or_closed
from formgen.outputs.dxf.shapes import Drawn, Kind, open_line, round_hole, shape


def layer_drawing(form: Form, layer: Layer) -> list[Drawn]:
    """List what the file of one layer must hold."""
    shop = form.recipe.shop
    names = names_of(form, layer)
    drawn = [d for piece, dx_mm in in_a_row(layer, shop) for d in piece_drawing(piece, names, dx_mm)]
    return drawn + notes_drawing(sheet_notes(form, layer), names.sheet_notes)


def stack_drawing(form: Form) -> list[Drawn]:
    """List what the file of the stack must hold."""
    router = form.recipe.shop.router
    drawn: list[Drawn] = []
    for layer in form.layers:
        name = stack_layer(layer)
        drawn.append(shape(layer.outline, name, f"outline of {name}"))
        drawn += [open_line(joint, name, f"joint {i} of {name}") for i, joint in enumerate(layer.joints, 1)]
        for piece in layer.pieces:
            drawn += _cut_into(piece, name, name, partial(_same, name), 0.0)
    return drawn + notes_drawing(stack_notes(form), allowed_name(router.layers.sheet_notes, router.dxf_version))


def piece_drawing(piece: Piece, names: LayerNames, dx_mm: float = 0.0) -> Iterator[Drawn]:
    """List what a drawing must hold of one piece."""
    yield shape(piece.outline, names.outside_profile, f"outside profile of {piece.name}", dx_mm)
    yield from _cut_into(piece, names.inside_profile, names.drilling, names.groove, dx_mm)
    for mark in piece.marks:
        yield open_line((mark.start, mark.end), names.marks, f"{mark.kind} of {piece.name}", dx_mm)
    for label in piece.labels:
        yield from _strokes(label, names.labels, f"label {label.text!r} of {piece.name}", dx_mm)


def _cut_into(
    piece: Piece, inside: str, drilling: str, groove_layer: Callable[[float], str], dx_mm: float
) -> Iterator[Drawn]:
    """Openings, holes and grooves."""
    for i, opening in enumerate(piece.openings, 1):
        yield shape(opening.outline, inside, f"{opening.purpose} {i} of {piece.name}", dx_mm)
    for i, hole in enumerate(piece.holes, 1):
        yield round_hole(hole.centre, hole.diameter_mm, drilling, f"hole {i} of {piece.name}", dx_mm)
    for i, groove in enumerate(piece.grooves, 1):
        yield shape(groove.outline, groove_layer(groove.depth_mm), f"groove {i} of {piece.name}", dx_mm)


def _strokes(label: Label, layer: str, what: str, dx_mm: float) -> Iterator[Drawn]:
    text = label.text
    for stroke in label.strokes:
        points, close = open_or_closed(stroke)
        if len(points) < 2:
            continue
        vertices = tuple((x + dx_mm, y, 0.0) for x, y in points)
        kind: Kind = "closed outline" if close else "open line"
        yield Drawn(kind=kind, layer=layer.upper(), vertices=vertices, text=text, what=what)
        text = ""


def notes_drawing(notes: tuple[str, ...], layer: str) -> list[Drawn]:
    """Sheet notes; where on the sheet they stand does not matter."""
    return [Drawn(kind="text", layer=layer.upper(), vertices=(), text=text, what="sheet note") for text in notes]


def _same(name: str, _depth_mm: float) -> str:
    return name
