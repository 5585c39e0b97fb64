"""Heights of openings in closed form, by the textbook's radii, and readings taken at them with a slip now and then."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

KINDS = ("circle", "ellipse", "three-centred", "four-centred", "settled")


def heights(kind: str, x: Any, a: float, h: float) -> Any:
    """Height over the springing line at x from midspan, of an opening of half span a and rise h.

    The four-centred arch is struck on the span in four, whatever h; `settled` is an ellipse that has sunk unevenly.
    """
    out = np.abs(x)
    if kind == "circle":
        R = (a * a + h * h) / (2.0 * h)
        return np.sqrt(np.maximum(R * R - out * out, 0.0)) - (R - h)
    if kind == "ellipse":
        return h * np.sqrt(np.maximum(1.0 - (out / a) ** 2, 0.0))
    if kind == "three-centred":
        d = math.hypot(a, h)
        r, R = d * (d - a + h) / (2.0 * a), d * (d + a - h) / (2.0 * h)
        joint = R * (a - r) / (R - r)
        crown = np.sqrt(np.maximum(R * R - out * out, 0.0)) - (R - h)
        return np.where(out < joint, crown, np.sqrt(np.maximum(r * r - (out - a + r) ** 2, 0.0)))
    if kind == "four-centred":
        r, R = a / 2.0, a / 2.0 + math.sqrt(2.0) * a
        joint = -a / 2.0 + R / math.sqrt(2.0)  # on the line of both centres, which leans 45°
        upper = np.sqrt(np.maximum(R * R - (out + a / 2.0) ** 2, 0.0)) - a
        return np.where(out < joint, upper, np.sqrt(np.maximum(r * r - (out - a + r) ** 2, 0.0)))
    sunk = sum(s * np.sin(math.pi * n * (x / a + 1.0) / 2.0 + n) for n, s in ((1, 6.0), (2, 4.0), (3, 2.0)))
    return h * np.sqrt(np.maximum(1.0 - (out / (1.02 * a)) ** 2, 0.0)) + sunk


def site_set(rng: np.random.Generator, kind: str, count: int) -> tuple[float, np.ndarray]:
    """Spacing and heights as a joiner writes them down: whole millimetres, off by up to a few."""
    a = rng.uniform(300.0, 1200.0)
    h = a * rng.uniform(0.5, 0.9)
    x = np.linspace(-a, a, count)
    read = heights(kind, x, a, h) + rng.normal(0.0, rng.choice([0.2, 1.0, 2.5]), count)
    return 2.0 * a / (count - 1), np.round(read)
