"""Stage `curve`: the place on one of two parallel curves that lies square across from a place on the other; mm."""

from __future__ import annotations

import numpy as np

from formgen.curve.arcspline import ArcSpline


def same_place(curve: ArcSpline, other: ArcSpline, station_mm: float) -> float:
    """The station on `other`, parallel to `curve` piece by piece, that lies square across from one on `curve`."""
    i = int(np.searchsorted(curve.stations_mm, station_mm, side="right")) - 1
    i = min(max(i, 0), len(curve.pieces) - 1)
    share = (station_mm - float(curve.stations_mm[i])) / curve.pieces[i][0]
    return float(other.stations_mm[i]) + share * other.pieces[i][0]
