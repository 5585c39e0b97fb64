"""Stage `reports`: curves and outlines as SVG paths of true arcs, in tenths of a millimetre, y up.

In: vertices with bulges. Out: the `d` of a path. A drawing turns y over and fits it to its frame by one transform.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline, Point, Vertex
from formgen.outputs.svg import Svg, tag

#: Drawings are this wide in their own units, so that letters have one size in all of them.
WIDE = 1000.0
#: Units of paths in a millimetre.
TENTHS = 10


@dataclass(frozen=True)
class Frame:
    """The place of a drawing: from mm, y up, to a frame `WIDE` wide, y down.

    Args:
        scale: units of the frame in a mm.
        left, top: x and y in mm of the frame's upper left corner.
        high: height of the frame.
    """

    scale: float
    left: float
    top: float
    high: float

    @classmethod
    def round(cls, bounds: tuple[float, float, float, float], margins: tuple[float, float, float, float]) -> Frame:
        """The frame round (x least, y least, x greatest, y greatest) in mm, white left, above, right and below it."""
        x0, y0, x1, y1 = bounds
        left, above, right, below = margins
        scale = (WIDE - left - right) / (x1 - x0)
        return cls(scale, x0 - left / scale, y1 + above / scale, (y1 - y0) * scale + above + below)

    def at(self, p: Point) -> Point:
        """A point of the curve's plane in the frame."""
        return (p[0] - self.left) * self.scale, (self.top - p[1]) * self.scale

    def plan(self, said: str, paths: Iterable[Svg], *over: Svg, name: str = "plan", drawn: str | None = None) -> Svg:
        """The drawing.

        Args:
            said: stands for it where nobody can see it.
            paths: in tenths of mm.
            over: elements in the frame's own units, over the paths.
            name: of its class.
            drawn: a name for the group of its paths.
        """
        k = self.scale / TENTHS
        turned = f"matrix({k:.6g} 0 0 {-k:.6g} {-self.left * self.scale:.2f} {self.top * self.scale:.2f})"
        view = f"0 0 {WIDE:.0f} {self.high:.0f}"
        held = (
            tag("g", tag("g", *paths, transform=turned), class_=name, id=drawn)
            if drawn
            else tag("g", *paths, transform=turned)
        )
        return tag("svg", held, *over, class_=name, viewBox=view, role="img", aria_label=said)


def path(name: str, d: str, **attributes: str) -> Svg:
    """A path of a class."""
    return tag("path", class_=name or None, **attributes, d=d)


def outline_path(outline: Outline) -> str:
    """A closed shape."""
    return _run([*outline.vertices, outline.vertices[0]]) + "Z"


def curve_path(curve: ArcSpline) -> str:
    """An open curve."""
    return _run(curve.vertices())


def stroke_path(points: Sequence[Point]) -> str:
    """A polyline, each point given from the one before it: short, since letters are many. One point draws none."""
    tenths = [_tenths(p) for p in points]
    if len(tenths) < 2:
        return ""
    steps = (f"{bx - ax} {by - ay}" for (ax, ay), (bx, by) in pairwise(tenths))
    return f"M{tenths[0][0]} {tenths[0][1]}l{' '.join(steps)}".replace(" -", "-")


def circle_path(centre: Point, diameter_mm: float) -> str:
    """A circle of two half arcs."""
    (x, y), r = _tenths(centre), round(diameter_mm * TENTHS / 2)
    return f"M{x - r} {y}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0Z"


def _run(vertices: Sequence[Vertex]) -> str:
    """A chain of lines and arcs; an arc with positive bulge turns anticlockwise where y is up."""
    x, y = _tenths(vertices[0][:2])
    parts = [f"M{x} {y}"]
    for (ax, ay, bulge), (bx, by, _) in pairwise(vertices):
        x, y = _tenths((bx, by))
        if bulge:
            chord = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
            r = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge)) * TENTHS
            parts.append(f"A{r:.1f} {r:.1f} 0 {int(abs(bulge) > 1.0)} {int(bulge > 0.0)} {x} {y}")
        else:
            parts.append(f"L{x} {y}")
    return "".join(parts)


def _tenths(p: Sequence[float]) -> tuple[int, int]:
    return round(p[0] * TENTHS), round(p[1] * TENTHS)
