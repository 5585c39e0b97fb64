"""Stage `curve`: every curve that is fitted to readings, the simplest first.

Simplest is what a shop strikes and makes with the least: one part before two with a mitre at the point, then the fewest
centres. So: the circle (one centre); the three-centred arch (three); the ellipse (no centre, but a trammel or a string
draws it); the four-centred arch (four centres, two parts and the mitre); last the fair curve, which nothing sets out
but its own template.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple, Protocol

from formgen.curve.measured.centred import four_centred, three_centred
from formgen.curve.measured.circle import circle
from formgen.curve.measured.ellipse import ellipse
from formgen.curve.measured.fair import fair
from formgen.errors import CurveError
from formgen.geometry.arcspline import ArcSpline, Array
from formgen.recipe.arch_kinds import FitName


class Settled(Protocol):
    """A curve whose sizes are found."""

    def off(self, points: Array) -> Array:
        """Distance of each point, (n, 2), from it, positive outside: (n,)."""

    def along(self, points: Array) -> ArcSpline:
        """The curve from the foot of the first point to the foot of the last."""


class Shape(NamedTuple):
    """A row of the table.

    Args:
        name: as the recipe says it.
        what: as people say it.
        a: the same with its article.
        unknowns: how many sizes are fitted.
        least: fewest readings that it is fitted to.
        settle: its sizes, from points in order of travel; None for the fair curve, which has none.
    """

    name: FitName
    what: str
    a: str
    unknowns: int
    least: int
    settle: Callable[..., Settled] | None

    @property
    def halves(self) -> bool:
        """It has a point at the crown, and its curve is the right half of it."""
        return self.name == "four-centred"

    def fitted(self, points: Array) -> ArcSpline:
        """The curve fitted to points, between their feet.

        Raises:
            CurveError: too few of them, or no such curve comes near them.
        """
        if len(points) < self.least:
            raise CurveError(
                f"part.arch = {len(points)} points, expected at least {self.least} for {self.a}; measure more, "
                "evenly spread"
            )
        return fair(points) if self.settle is None else self.settle(points).along(points)


def _row(name: FitName, what: str, unknowns: int, least: int, settle: Any) -> Shape:
    return Shape(name, what, f"{'an' if what[0] in 'aeiou' else 'a'} {what}", unknowns, least, settle)


#: Simplest first.
SHAPES = (
    _row("circle", "circle", 3, 3, circle),
    _row("three-centred", "three-centred arch", 4, 5, three_centred),
    _row("ellipse", "ellipse", 3, 4, ellipse),
    _row("four-centred", "four-centred arch", 5, 6, four_centred),
    _row("fair", "fair curve", 0, 5, None),
)
