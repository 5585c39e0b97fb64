"""Stage `outputs`: what a drawing holds, in mm, whether it is read from a DXF file or expected from the model.

In: shapes read, or a `Form`. Out: `Drawn` shapes that can be compared one by one, in no order that matters. Files are
not looked at here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.form.stack import Label, Layer, Piece
from formgen.geometry.outline import Outline, Point, Vertex, whole_circle
from formgen.outputs.dxf.layers import (
    LayerNames,
    all_on,
    allowed_name,
    in_a_row,
    names_of,
    sheet_notes,
    stack_layer,
    stack_notes,
)
from formgen.outputs.dxf.pen import open_or_closed

Kind = Literal["closed outline", "open line", "circle", "text", "other"]


@fixed
class Drawn:
    """One entity.

    Args:
        kind: what it is.
        layer: its drawing layer, upper case (the format does not tell the cases apart).
        vertices: (x mm, y mm, bulge); a circle's centre; a text's origin.
        size_mm: a circle's diameter, a text's height, else 0.
        text: of a text, or of the label that a stroke begins.
        what: the piece and feature that it stands for, or the format's name of the entity.
    """

    kind: Kind
    layer: str
    vertices: tuple[Vertex, ...]
    size_mm: float = 0.0
    text: str = ""
    what: str = ""

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Bounds of the vertices (of a circle: of the circle); bulges may reach beyond."""
        r = self.size_mm / 2 if self.kind == "circle" else 0.0
        xs, ys = [v[0] for v in self.vertices], [v[1] for v in self.vertices]
        return min(xs) - r, min(ys) - r, max(xs) + r, max(ys) + r

    @property
    def outline(self) -> Outline | None:
        """The closed outline; None for anything else, and for one without area."""
        if self.kind != "closed outline":
            return None
        try:
            return Outline.tidy(self.vertices)
        except CurveError:
            return None


def shape(outline: Outline, layer: str, what: str, dx_mm: float = 0.0) -> Drawn:
    """A closed outline as it is expected in a drawing."""
    circle = whole_circle(outline)
    if circle:
        return round_hole(circle[0], 2 * circle[1], layer, what, dx_mm)
    vertices = tuple((x + dx_mm, y, b) for x, y, b in outline.vertices)
    return Drawn(kind="closed outline", layer=layer.upper(), vertices=vertices, what=what)


def round_hole(centre: Point, diameter_mm: float, layer: str, what: str, dx_mm: float = 0.0) -> Drawn:
    """A circle as it is expected in a drawing."""
    at = (centre[0] + dx_mm, centre[1], 0.0)
    return Drawn(kind="circle", layer=layer.upper(), vertices=(at,), size_mm=diameter_mm, what=what)


def straight(
    points: Sequence[Point], layer: str, what: str, dx_mm: float = 0.0, text: str = "", *, close: bool = False
) -> Drawn:
    """A line or a polyline without arcs as it is expected in a drawing."""
    vertices = tuple((x + dx_mm, y, 0.0) for x, y in points)
    kind: Kind = "closed outline" if close else "open line"
    return Drawn(kind=kind, layer=layer.upper(), vertices=vertices, what=what, text=text)


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
        drawn += [straight(joint, name, f"joint {i} of {name}") for i, joint in enumerate(layer.joints, 1)]
        for piece in layer.pieces:
            drawn += _cut_into(piece, all_on(name, layer))
    return drawn + notes_drawing(stack_notes(form), allowed_name(router.layers.sheet_notes, router.dxf_version))


def piece_drawing(piece: Piece, names: LayerNames, dx_mm: float = 0.0) -> Iterator[Drawn]:
    """List what a drawing must hold of one piece."""
    yield shape(piece.outline, names.outside_profile, f"outside profile of {piece.name}", dx_mm)
    yield from _cut_into(piece, names, dx_mm)
    for mark in piece.marks:
        yield straight((mark.start, mark.end), names.marks, f"{mark.kind} of {piece.name}", dx_mm)
    for label in piece.labels:
        yield from _strokes(label, names.labels, f"label {label.text!r} of {piece.name}", dx_mm)


def _cut_into(piece: Piece, names: LayerNames, dx_mm: float = 0.0) -> Iterator[Drawn]:
    """Openings, holes and grooves."""
    for i, opening in enumerate(piece.openings, 1):
        yield shape(opening.outline, names.inside_profile, f"{opening.purpose} {i} of {piece.name}", dx_mm)
    for i, hole in enumerate(piece.holes, 1):
        yield round_hole(hole.centre, hole.diameter_mm, names.drilling, f"hole {i} of {piece.name}", dx_mm)
    for i, groove in enumerate(piece.grooves, 1):
        yield shape(groove.outline, names.groove[groove.depth_mm], f"groove {i} of {piece.name}", dx_mm)


def _strokes(label: Label, layer: str, what: str, dx_mm: float) -> Iterator[Drawn]:
    text = label.text
    for stroke in label.strokes:
        points, close = open_or_closed(stroke)
        if len(points) > 1:
            yield straight(points, layer, what, dx_mm, text, close=close)
            text = ""


def notes_drawing(notes: tuple[str, ...], layer: str) -> list[Drawn]:
    """Sheet notes; where on the sheet they stand does not matter."""
    return [Drawn(kind="text", layer=layer.upper(), vertices=(), text=text, what="sheet note") for text in notes]
