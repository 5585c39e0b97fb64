"""Second opinions on geometry: outlines as shapely polygons."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from shapely import Polygon

from formgen.geometry.outline import Outline

TOLERANCE_MM = 0.001


@pytest.fixture
def polygon() -> Callable[[Outline], Polygon]:
    """An outline as a polygon whose sides stay within a micrometre of it."""
    return lambda outline: Polygon(outline.flattened(TOLERANCE_MM))
