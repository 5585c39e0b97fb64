"""Geometry: places across from one curve to a parallel one, and past a curve's ends; mm."""

from __future__ import annotations

import numpy as np

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.pose import Pose


def same_place(curve: ArcSpline, other: ArcSpline, station_mm: float) -> float:
    """The station on `other`, parallel to `curve` piece by piece, that lies square across from one on `curve`."""
    i = int(np.searchsorted(curve.stations_mm, station_mm, side="right")) - 1
    i = min(max(i, 0), len(curve.pieces) - 1)
    share = (station_mm - float(curve.stations_mm[i])) / curve.pieces[i][0]
    return float(other.stations_mm[i]) + share * other.pieces[i][0]


def pose_past(curve: ArcSpline, station_mm: float) -> Pose:
    """The pose at a station, which may lie past an end: there the curve runs on as it ends."""
    before, after = max(0.0, -station_mm), max(0.0, station_mm - curve.length_mm)
    return curve.extended(before, after).pose(station_mm + before) if before or after else curve.pose(station_mm)
