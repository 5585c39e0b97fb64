"""Stage `outputs`: DXF drawings for the router, one file for each layer of the stack, and one of the whole stack.

In: a `Form`. Out: files in the router's units, seen from above the stack, x to the right. In a layer's file
every drawing layer holds one purpose; the pieces of a divided layer stand apart in a row. In the stack's file there is
one drawing layer for each layer of board. Drawing layers are called as the shop file asks and the DXF version allows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from formgen.errors import ExportError
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.form.stack import Layer, Piece
from formgen.holding.do_not_press import mark_lines
from formgen.lengths import Units
from formgen.outputs.dxf.pen import MM_PER_INCH, Pen, drawing
from formgen.recipe.shop import Router, Shop

#: Line pitch of the sheet notes over their height.
LINE_PITCH = 1.6

#: A drawing's units, as people read them.
IN_WORDS: Mapping[Units, str] = {"in": "inches", "mm": "mm"}
#: Plain index colours (AutoCAD Color Index), one for each purpose. That of the notes reads on white and on black.
COLOURS = {
    "outside_profile": 7,
    "inside_profile": 5,
    "drilling": 1,
    "groove": 3,
    "marks": 8,
    "labels": 6,
    "sheet_notes": 134,
}


@fixed
class LayerNames:
    """Name of the drawing layer for each purpose.

    Args:
        outside_profile, inside_profile, drilling, marks, labels, sheet_notes: names.
        groove: the name for each depth (mm) that there is, rising.
    """

    outside_profile: str
    inside_profile: str
    drilling: str
    groove: Mapping[float, str]
    marks: str
    labels: str
    sheet_notes: str


def write_layer(form: Form, layer: Layer, path: Path) -> None:
    """Write the drawing of one layer with all its pieces.

    Raises:
        ExportError: two purposes would get one drawing layer.
    """
    shop = form.recipe.shop
    names = names_of(form, layer)
    with drawing(path, shop.router.dxf_version, drawing_units(form), colours(names)) as pen:
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
                _cut_into(pen, piece, all_on(name, layer))
        x_mm = min(layer.outline.bounds[0] for layer in form.layers)
        y_mm = min(layer.outline.bounds[1] for layer in form.layers)
        write_notes(pen, stack_notes(form), (x_mm, y_mm), shop.router.label_height_mm, notes_layer)


def stack_layer(layer: Layer) -> str:
    """Name of a layer of board in the drawing of the stack: `L03`."""
    return f"L{layer.number:02d}"


def names_of(form: Form, layer: Layer) -> LayerNames:
    """Names of the drawing layers in a layer's file."""
    return layer_names(form.recipe.shop.router, drawing_units(form), depths_mm(layer.pieces))


def all_on(name: str, layer: Layer) -> LayerNames:
    """Every purpose on one drawing layer, as in the drawing of the stack."""
    flat = dict.fromkeys(COLOURS.keys() - {"groove"}, name)
    return LayerNames(**flat, groove=dict.fromkeys(depths_mm(layer.pieces), name))


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
    count = len(layer.pieces)
    notes = [
        f"{form.recipe.name}: layer {layer.number} of {len(form.layers)}",
        f"sheet as measured: {layer.thickness_mm:.2f} mm = {layer.thickness_mm / MM_PER_INCH:.3f} in thick",
        f"drawing units: {IN_WORDS[drawing_units(form)]}",
        "cut and stack with this side up: labels and grooves are on it",
    ]
    if count > 1:
        notes.append(f"{count} pieces, set apart for cutting")
    return (*mark_lines(form), *notes)


def stack_notes(form: Form) -> tuple[str, ...]:
    """List what is written below the drawing of the stack."""
    return (
        *mark_lines(form),
        f"{form.recipe.name}: {len(form.layers)} layers as they lie, seen from above",
        f"stack: {form.depth_mm:.2f} mm = {form.depth_mm / MM_PER_INCH:.3f} in",
        f"drawing units: {IN_WORDS[drawing_units(form)]}",
    )


def draw_piece(pen: Pen, piece: Piece, names: LayerNames) -> None:
    """A piece where it lies, each purpose on its drawing layer."""
    pen.closed(piece.outline, names.outside_profile)
    _cut_into(pen, piece, names)
    for mark in piece.marks:
        pen.line(mark.start, mark.end, names.marks)
    for label in piece.labels:
        pen.lettering(label.text, label.strokes, names.labels)


def _cut_into(pen: Pen, piece: Piece, names: LayerNames) -> None:
    """Openings, holes and grooves of a piece."""
    for opening in piece.openings:
        pen.closed(opening.outline, names.inside_profile)
    for hole in piece.holes:
        pen.circle(hole.centre, hole.diameter_mm / 2, names.drilling)
    for groove in piece.grooves:
        pen.closed(groove.outline, names.groove[groove.depth_mm])


def write_notes(pen: Pen, notes: tuple[str, ...], corner: tuple[float, float], height_mm: float, layer: str) -> None:
    """Lines of text below a corner, clear of it by a line's pitch."""
    for i, text in enumerate(notes):
        pen.note(text, (corner[0], corner[1] - (i + 2) * LINE_PITCH * height_mm), height_mm, layer)


def depths_mm(pieces: Iterable[Piece]) -> tuple[float, ...]:
    """Depths of the grooves that there are, rising."""
    return tuple(sorted({groove.depth_mm for piece in pieces for groove in piece.grooves}))


def colours(names: LayerNames) -> dict[str, int]:
    """Drawing layers of a router's file with their colours."""
    layers: dict[str, int] = {}
    for purpose, colour in COLOURS.items():
        of_purpose = names.groove.values() if purpose == "groove" else [getattr(names, purpose)]
        layers |= dict.fromkeys(of_purpose, colour)
    return layers


def drawing_units(form: Form) -> Units:
    """Units of the router's files: the shop's, or those of the recipe."""
    recipe = form.recipe
    return recipe.shop.router.units or recipe.units


def layer_names(router: Router, units: Units, depths_mm: tuple[float, ...]) -> LayerNames:
    """The names for a router.

    Args:
        router: the shop's settings.
        units: units in which a groove's depth is written into its name.
        depths_mm: depths of the grooves that there are, each once.

    Raises:
        ExportError: two purposes, or two depths, would get one name.
    """
    version = router.dxf_version
    asked = {purpose: getattr(router.layers, purpose) for purpose in COLOURS}
    by_depth = asked.pop("groove")
    flat = {purpose: allowed_name(name, version) for purpose, name in asked.items()}
    grooves = {d: allowed_name(by_depth.replace("{depth}", depth_text(d, units)), version) for d in depths_mm}
    seen: set[str] = set()
    for name in (*flat.values(), *grooves.values()):
        if name.upper() in seen:  # the format does not tell upper case from lower
            raise ExportError(
                f"shop file: router.layers: two purposes get the drawing layer {name!r} in "
                f"{version}, expected a layer for each; rename one ({{depth}} in a groove's)"
            )
        seen.add(name.upper())
    return LayerNames(**flat, groove=grooves)


def depth_text(depth_mm: float, units: Units) -> str:
    """A depth with its unit, as few digits as needed: `6mm`, `0.25in`."""
    value, digits = (depth_mm / MM_PER_INCH, 3) if units == "in" else (depth_mm, 2)
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") + units


def allowed_name(text: str, version: str) -> str:
    r"""The name with what the version does not allow replaced by `_`.

    Reference: R12 allows up to 31 letters, digits, `$`, `-` and `_`, upper case; later versions up to 255
    characters without `<>/\":;?*|=` and the backquote.
    """
    if version == "R12":
        return re.sub(r"[^A-Z0-9$_-]", "_", text.upper())[:31]
    return re.sub(r"[<>/\\\":;?*|=`,\x00-\x1f]", "_", text).strip()[:255] or "_"
