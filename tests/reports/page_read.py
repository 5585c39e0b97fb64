"""Pages read back by another library: size, text, boxes of words, and paths, in mm; used by the tests of the pages."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
from numpy.typing import NDArray
from pypdfium2 import raw

from formgen.form.model import Form
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from tests.reports.plain_text import plain

MM_PER_PT = 25.4 / 72.0
#: Half the width of a thin line (mm).
HALF_LINE_MM = 0.125
#: Height of a capital over the size of the face, as the face's own tables have it: 736 of 1024 units.
CAPITAL = 736 / 1024
Box = tuple[float, float, float, float]
Point = tuple[float, float]
Path2 = tuple[tuple[Point, ...], bool]


@dataclass(frozen=True, kw_only=True)
class Read:
    """A page as the other library reads it, mm: size, text, words, lines, heights of capitals, order of drawing."""

    pages: int
    size: tuple[float, float]
    text: str
    words: tuple[Box, ...]
    lines: tuple[Box, ...]
    curved: tuple[tuple[Point, ...], ...]
    capitals: tuple[float, ...]
    word_order: tuple[int, ...]
    chains: tuple[tuple[int, tuple[Point, ...]], ...]


def read_all(content: bytes) -> str:
    """The text of all pages."""
    document = pdfium.PdfDocument(content)
    texts = [document[i].get_textpage().get_text_bounded() for i in range(len(document))]
    return plain(" ".join(texts))


def read(content: bytes, number: int = 0) -> Read:
    """One page, the first one unless said otherwise."""
    document = pdfium.PdfDocument(content)
    page = document[number]
    words: list[Box] = []
    paths: list[Path2] = []
    capitals: list[float] = []
    word_order: list[int] = []
    path_order: list[int] = []
    for i, thing in enumerate(page.get_objects()):
        if thing.type == raw.FPDF_PAGEOBJ_TEXT:
            x0, y0, x1, y1 = (v * MM_PER_PT for v in thing.get_bounds())
            words.append((x0, y0, x1, y1))
            word_order.append(i)
            size = ctypes.c_float()
            raw.FPDFTextObj_GetFontSize(thing, size)
            matrix = thing.get_matrix()
            capitals.append(size.value * math.hypot(matrix.c, matrix.d) * MM_PER_PT * CAPITAL)
        elif _stroked(thing):  # a shade lies below words
            paths.append(_path(thing))
            path_order.append(i)
    return Read(
        pages=len(document),
        size=(page.get_width() * MM_PER_PT, page.get_height() * MM_PER_PT),
        text=plain(page.get_textpage().get_text_bounded()),
        words=tuple(words),
        lines=tuple(box_of(points) for points, bends in paths if not bends),
        curved=tuple(points for points, bends in paths if bends),
        capitals=tuple(capitals),
        word_order=tuple(word_order),
        chains=tuple((i, points) for i, (points, _) in zip(path_order, paths, strict=True)),
    )


def _stroked(thing: Any) -> bool:
    """Tell whether a path has a line."""
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(thing, fill, stroke)
    return bool(stroke.value)


def _path(thing: Any) -> Path2:
    """The middle of a path's line as points, cubics in 32 steps, and whether it has any."""
    matrix = thing.get_matrix()
    points: list[Point] = []
    held: list[Point] = []
    bends = False
    for i in range(raw.FPDFPath_CountSegments(thing)):
        segment = raw.FPDFPath_GetPathSegment(thing, i)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        px, py = matrix.on_point(x.value, y.value)
        here = (px * MM_PER_PT, py * MM_PER_PT)
        if raw.FPDFPathSegment_GetType(segment) != raw.FPDF_SEGMENT_BEZIERTO:
            points.append(here)
            continue
        bends = True
        held.append(here)
        if len(held) == 3:
            a, (b, c, d) = points[-1], held
            for step in range(1, 33):
                t = step / 32
                weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)  # Bernstein
                points.append(
                    (
                        sum(w * p[0] for w, p in zip(weights, (a, b, c, d), strict=True)),
                        sum(w * p[1] for w, p in zip(weights, (a, b, c, d), strict=True)),
                    )
                )
            held = []
    return tuple(points), bends


def box_of(points: Sequence[Point]) -> Box:
    """The box round points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def over(words: Sequence[Box], others: Sequence[Box]) -> NDArray[np.bool_]:
    """Whether each word, a row, shares ground with each of other boxes, a column."""
    b = np.array(others).reshape(-1, 4)
    shared = (np.minimum(word[2:], b[:, 2:]) - np.maximum(word[:2], b[:, :2]) for word in words)
    return np.array([np.all(ground > 0.05, axis=1) for ground in shared]).reshape(len(words), len(b))


def in_order(content: bytes, margin_mm: float = 8.0, number: int = 0, pages: int = 1) -> Read:
    """A page, which has everything inside its margins, no words over words, and no line through a word.

    Of a curved shape its own points are held against the words, since its box holds more than it touches.
    """
    page = read(content, number)
    assert page.pages <= pages
    for x0, y0, x1, y1 in (*page.words, *page.lines, *map(box_of, page.curved)):
        assert margin_mm <= x0 <= x1 <= page.size[0] - margin_mm
        assert margin_mm <= y0 <= y1 <= page.size[1] - margin_mm
    assert not np.any(np.triu(over(page.words, page.words), 1))
    assert not np.any(over(page.words, [inked(line) for line in page.lines]))
    assert not np.any(over(page.words, [dot(x, y) for points in page.curved for x, y in points]))
    return page


def in_order_with_pictures(content: bytes, number: int, strip: tuple[float, float], margin_mm: float = 8.0) -> Read:
    """A page with pictures between two heights, whose words stand on white: no line is drawn over them later."""
    page = read(content, number)
    for x0, y0, x1, y1 in (*page.words, *page.lines, *map(box_of, page.curved)):
        assert margin_mm <= x0 <= x1 <= page.size[0] - margin_mm
        assert margin_mm <= y0 <= y1 <= page.size[1] - margin_mm
    assert not np.any(np.triu(over(page.words, page.words), 1))
    dots = [(order, dot(x, y)) for order, points in page.chains for x, y in _dense(points)]
    struck = over(page.words, [box for _, box in dots])
    earlier = np.array(page.word_order)[:, None] >= np.array([order for order, _ in dots])
    pictured = np.array([strip[0] < word[1] < strip[1] for word in page.words], dtype=bool)
    assert not np.any(struck & ~(earlier & pictured[:, None]))
    return page


def dot(x: float, y: float) -> Box:
    """The ink of a point."""
    return x, y, x + 0.2, y + 0.2


def _dense(points: Sequence[Point]) -> Iterator[Point]:
    """Points along a chain, a third of a mm apart."""
    for (ax, ay), (bx, by) in pairwise(points):
        count = max(1, math.ceil(math.dist((ax, ay), (bx, by)) * 3))
        for i in range(count + 1):
            yield ax + (bx - ax) * i / count, ay + (by - ay) * i / count


def inked(line: Box) -> Box:
    """The ink of a thin line."""
    x0, y0, x1, y1 = line
    return x0 - HALF_LINE_MM, y0 - HALF_LINE_MM, x1 + HALF_LINE_MM, y1 + HALF_LINE_MM


def large_or_small(tmp_path: Path, arch: str, more: str, plies: str, form: str) -> Form:
    """The form of another part than the shipped ones."""
    text = f"""\
format: 1
name: reading-room-trial
units: mm
part: {{arch: {arch}, measured_on: inside, depth: 60{more}}}
laminate: {{wood: white ash, {plies}}}
press: {{side: male}}
form: {{{form}}}
"""
    (tmp_path / "trial.yaml").write_text(text, encoding="utf-8")
    return run(load_recipe(tmp_path / "trial.yaml"))


def lengths(text: str) -> set[str]:
    """Every length on the page as it is written: `36 3/4 in`, `1203.4 mm`."""
    return set(re.findall(r"(?<![\d/.])(?:\d+ )?\d+(?:/\d+)? in\b|\d+\.\d mm\b|(?<![\d.])\d+ mm\b", text))


#: Small, large and crowded parts: arch, more of the part, plies, form.
UNUSUAL = [
    ("{kind: semicircle, span: 200}", "", "plies: 6, thickness: 6", "backing: 80"),
    ("{kind: semicircle, span: 4000}", ", legs: 600", "plies: 6, thickness: 18", "body: band, backing: 120"),
    (
        "{kind: segmental, span: 4000, rise: 700}",
        ", legs: {length: 1500, run: tangent}",
        "plies: 200, thickness: 200",
        "body: band, backing: 220, clamp_reliefs: {spacing: 100}",
    ),
    (
        "{kind: semicircle, span: 4000}",
        ", legs: 600",
        "plies: 40, thickness: 120",
        "body: band, backing: 220, clamp_reliefs: {spacing: 80}",
    ),
]
UNUSUAL_NAMES = ("200 mm", "4 m", "200 plies", "90 clamps")
