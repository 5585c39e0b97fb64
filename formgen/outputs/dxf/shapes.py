"""Stage `outputs`: what a drawing holds, in mm, whether it is read from a DXF file or expected from the model.

In: shapes. Out: `Drawn` shapes that can be compared one by one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from formgen.errors import CurveError
from formgen.fixed import fixed
from formgen.geometry.outline import Outline, Point, Vertex, whole_circle

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


def open_line(points: Sequence[Point], layer: str, what: str, dx_mm: float = 0.0, text: str = "") -> Drawn:
    """A line or an open polyline as it is expected in a drawing."""
    vertices = tuple((x + dx_mm, y, 0.0) for x, y in points)
    return Drawn(kind="open line", layer=layer.upper(), vertices=vertices, what=what, text=text)
