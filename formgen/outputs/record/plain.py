"""Stage `outputs`: results of the stages as plain tables of numbers and texts, as a job record holds them.

A key says its unit. What a curve or an outline is made of becomes the numbers that a reader can check.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from formgen.geometry.arcspline import ArcSpline
from formgen.geometry.outline import Outline

#: Numbers that were computed are written to this many digits, so that a last bit of a processor's does not show.
DIGITS = 12


def plain(value: Any, leave_out: Collection[str] = ()) -> Any:
    """A result as tables, lists, numbers, texts and None.

    Args:
        value: a result of a stage, or anything inside one.
        leave_out: names of fields to leave out at every depth: the stage before, findings, strokes.
    """
    if isinstance(value, ArcSpline):
        return _curve(value)
    if isinstance(value, Outline):
        return _outline(value)
    if is_dataclass(value) and not isinstance(value, type):
        pairs = [(f.name, getattr(value, f.name)) for f in fields(value) if f.name not in leave_out]
        return {_key(name, held): plain(_in_degrees(name, held), leave_out) for name, held in pairs}
    if isinstance(value, Mapping):
        return {str(key): plain(held, leave_out) for key, held in value.items()}
    if isinstance(value, tuple | list):
        return [plain(held, leave_out) for held in value]
    return number(value) if isinstance(value, float) else value


def number(value: float) -> float | None:
    """The number to twelve digits; None where it is infinite (a radius of a straight run)."""
    return float(f"{value:.{DIGITS}g}") + 0.0 if math.isfinite(value) else None


def _key(name: str, value: Any) -> str:
    """A field's name: an angle's ends in `_deg`; `_mm` is added where it holds points and does not say its unit."""
    if name.endswith("_rad"):
        return f"{name.removesuffix('_rad')}_deg"
    return f"{name}_mm" if _is_points(value) and not name.endswith("_mm") else name


def _in_degrees(name: str, value: Any) -> Any:
    """Angles in degrees, as every record says them; anything else as it is."""
    if not name.endswith("_rad"):
        return value
    return tuple(math.degrees(held) for held in value) if isinstance(value, tuple) else math.degrees(value)


def _is_points(value: Any) -> bool:
    if not isinstance(value, tuple) or not value:
        return False
    return all(isinstance(held, float) or _is_points(held) for held in value)


def _outline(outline: Outline) -> dict[str, Any]:
    x0, y0, x1, y1 = outline.bounds
    return {
        "width_mm": number(x1 - x0),
        "height_mm": number(y1 - y0),
        "bounds_mm": [number(b) for b in outline.bounds],
        "length_mm": number(outline.length_mm),
        "area_mm2": number(outline.area_mm2),
    }


def _curve(curve: ArcSpline) -> dict[str, Any]:
    start = curve.start
    return {
        "length_mm": number(curve.length_mm),
        "sweep_deg": number(math.degrees(curve.sweep_rad)),
        "tightest_radius_mm": number(curve.tightest_radius_mm),
        "start_mm": [number(start.x_mm), number(start.y_mm)],
        "start_heading_deg": number(math.degrees(start.heading_rad)),
        "pieces": [
            {"length_mm": number(length), "radius_mm": number(1.0 / k) if k else None} for length, k in curve.pieces
        ],
    }
