"""Stage `form`: the stack as data: layers, each of one piece or several, with all that is cut into them.

x along the span, y up, z across the wall from the front face of the stack; mm. Outlines run anticlockwise.
Pieces are drawn, cut and stacked as seen from +z: layer 1 lies on the bench, front face down, and the upper
face of each piece (the one with the greater z) carries its marks, labels and grooves.
"""

from __future__ import annotations

from typing import Literal

from formgen.fixed import fixed
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point


@fixed
class Hole:
    """A round hole right through a layer, drilled: for a dowel."""

    centre: Point
    diameter_mm: float


@fixed
class Opening:
    """A hole right through a layer, routed along its edge: a clamp relief."""

    outline: Outline
    purpose: Literal["clamp relief"]


@fixed
class Groove:
    """A groove cut part way into the upper face of a layer: a port of the vacuum channel.

    Args:
        outline: what the cutter follows: a rectangle that runs out past both edges of the piece.
        cleared: what it takes from the piece: the rectangle's part inside the outline.
        width_mm: width.
        depth_mm: depth below the layer's upper face.
    """

    outline: Outline
    cleared: Outline
    width_mm: float
    depth_mm: float


MarkKind = Literal["centre line", "springing line", "trim line", "spreader bar"]


@fixed
class Mark:
    """A line drawn on a piece, not cut through: where something is; with marks where it is some openings' alone."""

    kind: MarkKind
    start: Point
    end: Point
    openings: tuple[str, ...] = ()


@fixed
class Label:
    """A line of text in single-stroke letters, and the strokes that draw it.

    Args:
        text: what it says.
        origin: left end of the base line.
        height_mm: height of a capital.
        strokes: polylines in place.
    """

    text: str
    origin: Point
    height_mm: float
    strokes: tuple[tuple[Point, ...], ...]


@fixed
class Piece:
    """One closed shape cut from a sheet, where it lies in the stack.

    Args:
        name: `L03` or, in a layer of several pieces, `L03-2`, counted from the right.
        outline: its edge.
        openings, holes, grooves: what is cut into it.
        marks, labels: what is drawn on it.
    """

    name: str
    outline: Outline
    openings: tuple[Opening, ...]
    holes: tuple[Hole, ...]
    grooves: tuple[Groove, ...]
    marks: tuple[Mark, ...]
    labels: tuple[Label, ...]

    @property
    def cut(self) -> tuple[object, ...]:
        """The part of it that makes the solid: pieces equal in this are cut alike, whatever is written on them."""
        return self.outline, self.openings, self.holes, self.grooves


@fixed
class Layer:
    """One thickness of sheet.

    Args:
        number: 1 at the front face of the stack, on the bench, rising with z.
        front_mm: z of its lower face.
        thickness_mm: measured thickness of the sheet.
        outline: the whole layer before it is cut into pieces.
        face: the form face of this layer (set back in a channel layer), run on past the part's ends.
        channel: the layer is set back, so that air runs along the face.
        bar_seat: the layer is cut away where the spreader bar passes.
        joints: lines along which it is cut into pieces, each from the face to the back.
        pieces: counted from the right; one, or several where the layer is longer than the sheet.
    """

    number: int
    front_mm: float
    thickness_mm: float
    outline: Outline
    face: ArcSpline
    channel: bool
    bar_seat: bool
    joints: tuple[tuple[Point, Point], ...]
    pieces: tuple[Piece, ...]


@fixed
class Stack:
    """All that is cut: what solids are made from.

    Args:
        name: of the form.
        layers: from the front.
    """

    name: str
    layers: tuple[Layer, ...]

    @property
    def pieces(self) -> tuple[tuple[Layer, Piece], ...]:
        """Every piece with its layer, front to back, right to left."""
        return tuple((layer, piece) for layer in self.layers for piece in layer.pieces)
