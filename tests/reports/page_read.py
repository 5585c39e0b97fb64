"""Pages read back by another library: size, text, boxes of words, and paths, in mm; used by the tests of the pages."""

from __future__ import annotations

import ctypes
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
from pypdfium2 import raw

from formgen.form.model import Form
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

MM_PER_PT = 25.4 / 72.0
#: Half the width of a thin line (mm).
HALF_LINE_MM = 0.125
Box = tuple[float, float, float, float]
Point = tuple[float, float]
Path2 = tuple[tuple[Point, ...], bool]


@dataclass(frozen=True, kw_only=True)
class Read:
    """A page as the other library reads it: its size, its text, the boxes of its words and of its lines, mm."""

    pages: int
    size: tuple[float, float]
    text: str
    words: tuple[Box, ...]
    lines: tuple[Box, ...]
    curved: tuple[tuple[Point, ...], ...]


def read(content: bytes) -> Read:
    """The first page."""
    document = pdfium.PdfDocument(content)
    page = document[0]
    words: list[Box] = []
    paths: list[Path2] = []
    for thing in page.get_objects():
        if thing.type == raw.FPDF_PAGEOBJ_TEXT:
            x0, y0, x1, y1 = (v * MM_PER_PT for v in thing.get_bounds())
            words.append((x0, y0, x1, y1))
        else:
            paths.append(_path(thing))
    return Read(
        pages=len(document),
        size=(page.get_width() * MM_PER_PT, page.get_height() * MM_PER_PT),
        text=" ".join(page.get_textpage().get_text_bounded().split()),
        words=tuple(words),
        lines=tuple(box_of(points) for points, bends in paths if not bends),
        curved=tuple(points for points, bends in paths if bends),
    )


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


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share ground."""
    return min(a[2], b[2]) - max(a[0], b[0]) > 0.05 and min(a[3], b[3]) - max(a[1], b[1]) > 0.05


def in_order(content: bytes, margin_mm: float = 8.0) -> Read:
    """The page, which has everything inside its margins, no words over words, and no line through a word.

    Of a curved shape its own points are held against the words, since its box holds more than it touches.
    """
    page = read(content)
    assert page.pages == 1
    for x0, y0, x1, y1 in (*page.words, *page.lines, *map(box_of, page.curved)):
        assert margin_mm <= x0 <= x1 <= page.size[0] - margin_mm
        assert margin_mm <= y0 <= y1 <= page.size[1] - margin_mm
    assert [pair for pair in combinations(page.words, 2) if overlap(*pair)] == []
    inked = [
        (x0 - HALF_LINE_MM, y0 - HALF_LINE_MM, x1 + HALF_LINE_MM, y1 + HALF_LINE_MM) for x0, y0, x1, y1 in page.lines
    ]
    assert [(w, line) for w in page.words for line in inked if overlap(w, line)] == []
    dots = [(x, y, x + 0.2, y + 0.2) for points in page.curved for x, y in points]
    assert [(w, dot) for w in page.words for dot in dots if overlap(w, dot)] == []
    return page


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
