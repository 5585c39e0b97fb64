"""Stage `outputs`: DXF drawings for the router, one file for each layer of the stack, and one of the whole stack.

In: a `Form`. Out: files in the router's units, seen from above the stack, x to the right. In a layer's file
every drawing layer holds one purpose; the pieces of a divided layer stand apart in a row. In the stack's file there is
one drawing layer for each layer of board.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from formgen.errors import ExportError
from formgen.form.model import Form
from formgen.form.stack import Layer, Piece
from formgen.holding.do_not_press import mark_lines
from formgen.outputs.dxf.names import COLOURS, MM_PER_INCH, LayerNames, allowed_name, drawing_units, layer_names
from formgen.outputs.dxf.pen import Pen, drawing
from formgen.recipe.shop import Shop

#: Line pitch of the sheet notes over their height.
LINE_PITCH = 1.6


def write_layer(form: Form, layer: Layer, path: Path) -> None:
    """Write the drawing of one layer with all its pieces.

    Raises:
        ExportError: two purposes would get one drawing layer.
    """
    shop = form.recipe.shop
    units = drawing_units(form)
    names = names_of(form, layer)
    with drawing(path, shop.router.dxf_version, units, colours(names, depths_mm(layer.pieces))) as pen:
        rows = in_a_row(layer, shop)
        for piece, dx_mm in rows:
            draw_piece(pen.shifted(dx_mm), piece, names)
        x_mm = min(piece.outline.bounds[0] + dx_mm for piece, dx_mm in rows)
        y_mm = min(piece.outline.bounds[1] for piece in layer.pieces)
        write_notes(pen, sheet_notes(form, layer), (x_mm, y_mm), shop.router.label_height_mm, names.sheet_notes)


def write_stack(form: Form, path: Path) -> None:
    """Write the drawing of the whole stack: each layer's outline, joints, openings, holes and grooves, as they lie."""
    shop = form.recipe.shop
    version = shop.router.dxf_version
    notes_layer = allowed_name(shop.router.layers.sheet_notes, version)
    layers = {stack_layer(layer): 1 + (layer.number - 1) % 6 for layer in form.layers}
    if notes_layer.upper() in layers:
        raise ExportError(
            f"shop file: router.layers.sheet_notes = {notes_layer!r}, which is the name of a layer of "
            "board in the drawing of the stack; choose another name"
        )
    with drawing(path, version, drawing_units(form), {**layers, notes_layer: COLOURS["sheet_notes"]}) as pen:
        for layer in form.layers:
            name = stack_layer(layer)
            pen.closed(layer.outline, name)
            for start, end in layer.joints:
                pen.line(start, end, name)
            for piece in layer.pieces:
                for opening in piece.openings:
                    pen.closed(opening.outline, name)
                for hole in piece.holes:
                    pen.circle(hole.centre, hole.diameter_mm / 2, name)
                for groove in piece.grooves:
                    pen.closed(groove.outline, name)
        x_mm = min(layer.outline.bounds[0] for layer in form.layers)
        y_mm = min(layer.outline.bounds[1] for layer in form.layers)
        write_notes(pen, stack_notes(form), (x_mm, y_mm), shop.router.label_height_mm, notes_layer)


def stack_layer(layer: Layer) -> str:
    """Name of a layer of board in the drawing of the stack: `L03`."""
    return f"L{layer.number:02d}"


def names_of(form: Form, layer: Layer) -> LayerNames:
    """Names of the drawing layers in a layer's file."""
    router = form.recipe.shop.router
    return layer_names(router, drawing_units(form), depths_mm(layer.pieces))


def in_a_row(layer: Layer, shop: Shop) -> tuple[tuple[Piece, float], ...]:
    """The pieces with their shift along x (mm) in the layer's file.

    The first piece stays where it lies in the stack; each further one goes to the left of the one before, so that
    a cutter and the shop's margin fit between their bounding boxes, the run-out of grooves included.
    """
    gap_mm = shop.cutter.diameter_mm + shop.cutter.margin_mm
    rows: list[tuple[Piece, float]] = []
    left_mm = 0.0
    for piece in layer.pieces:
        edges = [piece.outline.bounds, *(groove.outline.bounds for groove in piece.grooves)]
        x0, x1 = min(b[0] for b in edges), max(b[2] for b in edges)
        dx_mm = left_mm - gap_mm - x1 if rows else 0.0
        rows.append((piece, dx_mm))
        left_mm = x0 + dx_mm
    return tuple(rows)


def sheet_notes(form: Form, layer: Layer) -> tuple[str, ...]:
    """List what is written below the pieces of a layer; not cut."""
    units = drawing_units(form)
    count = len(layer.pieces)
    notes = [
        f"{form.recipe.name}: layer {layer.number} of {len(form.layers)}",
        f"sheet as measured: {layer.thickness_mm:.2f} mm = {layer.thickness_mm / MM_PER_INCH:.3f} in thick",
        f"drawing units: {'inches' if units == 'in' else 'mm'}",
        "cut and stack with this side up: labels and grooves are on it",
    ]
    if count > 1:
        notes.append(f"{count} pieces, set apart for cutting")
    return (*mark_lines(form), *notes)


def stack_notes(form: Form) -> tuple[str, ...]:
    """List what is written below the drawing of the stack."""
    units = drawing_units(form)
    return (
        *mark_lines(form),
        f"{form.recipe.name}: {len(form.layers)} layers as they lie, seen from above",
        f"stack: {form.depth_mm:.2f} mm = {form.depth_mm / MM_PER_INCH:.3f} in",
        f"drawing units: {'inches' if units == 'in' else 'mm'}",
    )


def draw_piece(pen: Pen, piece: Piece, names: LayerNames) -> None:
    """A piece where it lies, each purpose on its drawing layer."""
    pen.closed(piece.outline, names.outside_profile)
    for opening in piece.openings:
        pen.closed(opening.outline, names.inside_profile)
    for hole in piece.holes:
        pen.circle(hole.centre, hole.diameter_mm / 2, names.drilling)
    for groove in piece.grooves:
        pen.closed(groove.outline, names.groove(groove.depth_mm))
    for mark in piece.marks:
        pen.line(mark.start, mark.end, names.marks)
    for label in piece.labels:
        pen.lettering(label.text, label.strokes, names.labels)


def write_notes(pen: Pen, notes: tuple[str, ...], corner: tuple[float, float], height_mm: float, layer: str) -> None:
    """Lines of text below a corner, clear of it by a line's pitch."""
    for i, text in enumerate(notes):
        pen.note(text, (corner[0], corner[1] - (i + 2) * LINE_PITCH * height_mm), height_mm, layer)


def depths_mm(pieces: Iterable[Piece]) -> tuple[float, ...]:
    """Depths of the grooves that there are, rising."""
    return tuple(sorted({groove.depth_mm for piece in pieces for groove in piece.grooves}))


def colours(names: LayerNames, depths_mm: Iterable[float]) -> dict[str, int]:
    """Drawing layers of a router's file with their colours."""
    flat = {
        names.outside_profile: COLOURS["outside_profile"],
        names.inside_profile: COLOURS["inside_profile"],
        names.drilling: COLOURS["drilling"],
    }
    flat |= {names.groove(depth): COLOURS["groove"] for depth in depths_mm}
    drawn = {names.marks: COLOURS["marks"], names.labels: COLOURS["labels"], names.sheet_notes: COLOURS["sheet_notes"]}
    return flat | drawn
