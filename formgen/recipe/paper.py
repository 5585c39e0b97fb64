"""Stage `recipe`: the paper that the shop prints on, and how its drawings lay out views.

Without these keys a recipe in inches is drawn on letter and tabloid in third-angle projection, one in mm on A4 and A3
in first-angle projection (common practice, no source).
"""

from __future__ import annotations

from typing import Literal

from formgen.lengths import Units
from formgen.recipe.strict import Strict

Size = Literal["letter", "A4", "tabloid", "A3"]

#: The paper that is tried first, and the one for what does not fit it.
USUAL: dict[Units, tuple[Size, Size]] = {"in": ("letter", "tabloid"), "mm": ("A4", "A3")}


class Paper(Strict):
    """The shop's paper: `size` holds every drawing on it; `projection` says where its views stand."""

    size: Size | None = None
    projection: Literal["third-angle", "first-angle"] | None = None

    def sizes(self, units: Units) -> tuple[Size, ...]:
        """The papers for a recipe's drawings, the first that fits is taken."""
        return USUAL[units] if self.size is None else (self.size,)

    def third_angle(self, units: Units) -> bool:
        """Tell whether views stand on the side that they are seen from."""
        return self.projection == "third-angle" if self.projection is not None else units == "in"
