"""Stage `form`: text as single strokes, for a cutter that draws each line once.

In: a text, a height in mm, a place and an angle. Out: polylines in mm. The letters are the Hershey simplex
face (see `data/README.md`); ° ⌀ ± × and ↑ are added here. The arrow points up the drawing, however a text is turned.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache
from itertools import groupby
from pathlib import Path

from formgen.geometry.outline import Point

Stroke = tuple[Point, ...]

#: The Hershey simplex face.
_FACE = Path(__file__).parents[1] / "data" / "futural.jhf"
#: Units of the font file: the base line, and the height of a capital above it.
_BASE, _CAPITAL = 9, 21

#: Letters that the face lacks, in its own units (y down, base line at 9, capitals from −12): advance width and strokes.
_ADDED: dict[str, tuple[float, tuple[Stroke, ...]]] = {
    "°": (10, (tuple((3 + 3 * math.cos(a * math.pi / 4), -9 + 3 * math.sin(a * math.pi / 4)) for a in range(9)),)),
    "⌀": (
        22,
        (
            tuple((11 + 7 * math.cos(a * math.pi / 8), -1 + 7 * math.sin(a * math.pi / 8)) for a in range(17)),
            ((3, 8), (19, -10)),
        ),
    ),
    "±": (22, (((4, -2), (18, -2)), ((11, -9), (11, 5)), ((4, 9), (18, 9)))),
    "×": (18, (((3, -6), (15, 6)), ((15, -6), (3, 6)))),
    "↑": (24, (((12, 9), (12, -12)), ((7, -5), (12, -12), (17, -5)))),
}
#: Letters that are never turned, and the middle of a capital, about which they stand upright (font units).
_UPRIGHT, _MIDDLE = "↑", _BASE - _CAPITAL / 2


@cache
def _glyphs() -> dict[str, tuple[float, tuple[Stroke, ...]]]:
    """Advance width and strokes of every letter, in font units from the left side of its cell."""
    glyphs = dict(_ADDED)
    lines = _FACE.read_text(encoding="ascii").splitlines()
    for code, line in enumerate(lines, start=32):
        body = line[8:]
        left, right = ord(line[8]) - ord("R"), ord(line[9]) - ord("R")
        pairs = [body[i : i + 2] for i in range(2, len(body) - 1, 2)]
        strokes = [
            tuple((ord(pair[0]) - ord("R") - left, float(ord(pair[1]) - ord("R"))) for pair in run)
            for drawn, run in groupby(pairs, key=lambda pair: pair != " R")
            if drawn
        ]
        glyphs[chr(code)] = (right - left, tuple(s for s in strokes if len(s) > 1))
    return glyphs


def text_width(text: str, height_mm: float) -> float:
    """Width in mm of a line of text whose capitals are `height_mm` high; letters not in the face count as `?`."""
    glyphs = _glyphs()
    return sum(glyphs.get(c, glyphs["?"])[0] for c in text) * height_mm / _CAPITAL


@lru_cache(maxsize=128)
def strokes_of(text: str, origin: Point, height_mm: float, angle_rad: float = 0.0) -> tuple[Stroke, ...]:
    """The strokes of a line of text; most lines stand alike on many layers.

    Args:
        text: one line; letters that the face lacks are drawn as `?`.
        origin: left end of the base line, mm.
        height_mm: height of a capital.
        angle_rad: direction of writing, anticlockwise from +x.
    """
    glyphs = _glyphs()
    scale = height_mm / _CAPITAL
    c, s = math.cos(angle_rad) * scale, math.sin(angle_rad) * scale
    strokes: list[Stroke] = []
    at = 0.0
    for letter in text:
        width, drawn = glyphs.get(letter, glyphs["?"])
        if letter in _UPRIGHT:
            drawn = tuple(_turned_back(stroke, width / 2, angle_rad) for stroke in drawn)
        strokes.extend(
            tuple(
                (origin[0] + c * (x + at) - s * (_BASE - y), origin[1] + s * (x + at) + c * (_BASE - y))
                for x, y in stroke
            )
            for stroke in drawn
        )
        at += width
    return tuple(strokes)


def _turned_back(stroke: Stroke, middle: float, angle_rad: float) -> Stroke:
    """A stroke turned round the middle of its cell, so that it stands upright when the text is turned; y runs down."""
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return tuple(
        (middle + c * (x - middle) - s * (y - _MIDDLE), _MIDDLE + s * (x - middle) + c * (y - _MIDDLE))
        for x, y in stroke
    )
