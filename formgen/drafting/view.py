"""Drafting: a view at a scale: from the thing's mm to the paper's.

In: shapes in the thing's axes. Out: ink in the view's field, and places to dimension from; mm on paper.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from formgen.drafting.field import Field
from formgen.drafting.ink import Fill, Pen, Stroke
from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point, Vertex
from formgen.lengths import Units


class CrowdedError(Exception):
    """A text finds no room at this scale."""


@dataclass
class View:
    """One view.

    Args:
        scale: mm of paper to 1 mm of the thing.
        units: in which its sizes are written.
        origin: where on paper the thing's origin lies.
        text_mm: height of a size's capitals.
        paper: its ink.
        strict: a text that finds no room is an error: the drawing is tried at another scale.
        left_out: texts that found no room where that is none.
        runs: dimension lines: axis, place across it, from and to along it.
        waiting: texts of dimension lines, placed when all lines are drawn.
    """

    scale: float
    units: Units
    origin: Point = (0.0, 0.0)
    text_mm: float = 2.5
    paper: Field = field(default_factory=Field)
    strict: bool = True
    left_out: list[str] = field(default_factory=list)
    runs: list[tuple[str, float, float, float]] = field(default_factory=list)
    waiting: list[Callable[[], None]] = field(default_factory=list)

    def beside(self, origin: Point) -> View:
        """Another view on the same paper at the same scale."""
        return replace(self, origin=origin)

    def at(self, p: Point) -> Point:
        """A point on paper."""
        return p[0] * self.scale + self.origin[0], p[1] * self.scale + self.origin[1]

    def vertices(self, vertices: Sequence[Vertex]) -> tuple[Vertex, ...]:
        """Vertices on paper."""
        return tuple((*self.at((x, y)), bulge) for x, y, bulge in vertices)

    def outline(self, pen: Pen, outline: Outline) -> None:
        """A closed shape."""
        self.paper.put(Stroke(pen=pen, vertices=self.vertices(outline.vertices), closed=True))

    def fill(self, pen: Pen, outline: Outline) -> None:
        """A filled shape."""
        self.paper.put(Fill(pen=pen, vertices=self.vertices(outline.vertices)))

    def curve(self, pen: Pen, curve: ArcSpline) -> None:
        """An open curve."""
        self.paper.put(Stroke(pen=pen, vertices=self.vertices(curve.vertices())))

    def line(self, pen: Pen, *points: Point) -> None:
        """Straight runs between points of the thing."""
        self.paper.put(Stroke(pen=pen, vertices=self.vertices([(*p, 0.0) for p in points])))

    def no_room_for(self, text: str) -> None:
        """A text found no room.

        Raises:
            CrowdedError: the view is strict.
        """
        if self.strict:
            raise CrowdedError(text)
        self.left_out.append(text)

    def settle(self) -> None:
        """Place the texts of the dimension lines, now that all lines are drawn."""
        for place in self.waiting:
            place()
        self.waiting.clear()

    @property
    def reach(self) -> tuple[float, float, float, float]:
        """Bounds of the ink."""
        return self.paper.reach
