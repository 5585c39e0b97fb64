"""Pages of a PDF as another library reads them (PDFium): boxes of text and paths with their points, in mm of paper."""

from __future__ import annotations

import ctypes
import math
from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2 as pdfium
from pypdfium2 import raw
from shapely import LineString, Polygon, box
from shapely.strtree import STRtree

from tests.reports.page_read import CAPITAL
from tests.reports.plain_text import plain

MM_PER_PT = 25.4 / 72.0
Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Path:
    """A path: its subpaths as points (curves flattened), the width of its line, whether it is stroked."""

    runs: tuple[tuple[Point, ...], ...]
    width_mm: float
    stroked: bool

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        xs = [x for run in self.runs for x, _ in run]
        ys = [y for run in self.runs for _, y in run]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True, kw_only=True)
class Page:
    """A page: its size, every text with the box of its letters, its capitals' height and its start, every path."""

    size: tuple[float, float]
    texts: tuple[tuple[str, Polygon], ...]
    lettering: tuple[tuple[float, Point], ...]
    paths: tuple[Path, ...]
    text: str

    def clashes(self, *, window: Polygon | None = None, white_mm: float = 0.1) -> list[str]:
        """Texts that a stroke passes, that another text overlaps, or that leave the page.

        Args:
            window: what lies partly in it is cut off at its edge.
            white_mm: least white between letters and a stroke.
        """
        boxes = [shape for _, shape in self.texts]
        strokes = [
            (line.intersection(window) if window is not None and line.intersects(window) else line).buffer(half)
            for line, half in self.strokes()
        ]
        page = box(0.0, 0.0, *self.size)
        tree, others = STRtree(strokes), STRtree(boxes)
        found = []
        for i, (text, _) in enumerate(self.texts):
            if any(boxes[i].distance(strokes[j]) < white_mm for j in tree.query(boxes[i].buffer(white_mm))):
                found.append(f"{text!r} is crossed by a line")
            if any(j != i and boxes[i].intersection(boxes[j]).area > 0.01 for j in others.query(boxes[i])):
                found.append(f"{text!r} lies on another text")
            if not page.buffer(-5.0).contains(boxes[i]):
                found.append(f"{text!r} leaves the page")
        return found

    def strokes(self) -> list[tuple[LineString, float]]:
        """Lines with half their widths."""
        return [
            (LineString(run), path.width_mm / 2)
            for path in self.paths
            if path.stroked
            for run in path.runs
            if len(run) > 1
        ]

    def outline(self, width_mm: float, height_mm: float, within_mm: float) -> Path:
        """The first path of that width and height; AssertionError with the nearest where none is."""

        def off(path: Path) -> float:
            x0, y0, x1, y1 = path.bounds
            return max(abs(x1 - x0 - width_mm), abs(y1 - y0 - height_mm))

        best = min(self.paths, key=off)
        assert off(best) <= within_mm, f"no path {width_mm} × {height_mm} mm: the nearest is {off(best)} mm off"
        return best


def pages(content: bytes) -> Iterator[Page]:
    """Every page."""
    document = pdfium.PdfDocument(content)
    for page in document:
        textpage = page.get_textpage()
        texts, lettering, paths = [], [], []
        for thing in page.get_objects():
            if thing.type == raw.FPDF_PAGEOBJ_TEXT:
                texts.append((_text(thing, textpage), _letters(thing)))
                lettering.append(_lettering(thing))
            elif thing.type == raw.FPDF_PAGEOBJ_PATH:
                paths.append(_path(thing))
        yield Page(
            size=(page.get_width() * MM_PER_PT, page.get_height() * MM_PER_PT),
            texts=tuple(texts),
            lettering=tuple(lettering),
            paths=tuple(paths),
            text=plain(textpage.get_text_range()),
        )


def asks_for_full_size(content: bytes) -> bool:
    """Whether the file asks not to be scaled in printing."""
    document = pdfium.PdfDocument(content)
    return not raw.FPDF_VIEWERREF_GetPrintScaling(document.raw)


def _text(thing: pdfium.PdfObject, textpage: pdfium.PdfTextPage) -> str:
    need = raw.FPDFTextObj_GetText(thing.raw, textpage.raw, None, 0)
    buffer = ctypes.create_string_buffer(need)
    raw.FPDFTextObj_GetText(thing.raw, textpage.raw, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), need)
    return plain(buffer.raw.decode("utf-16-le").rstrip("\0"))


def _lettering(thing: pdfium.PdfObject) -> tuple[float, Point]:
    """Height of a text's capitals and the start of its base line."""
    size, (_, _, c, d, e, f) = ctypes.c_float(), thing.get_matrix().get()
    raw.FPDFTextObj_GetFontSize(thing.raw, size)
    return size.value * math.hypot(c, d) * MM_PER_PT * CAPITAL, (e * MM_PER_PT, f * MM_PER_PT)


def _letters(thing: pdfium.PdfObject) -> Polygon:
    """The box of a text's letters, turned as they are."""
    quad = raw.FS_QUADPOINTSF()
    raw.FPDFPageObj_GetRotatedBounds(thing.raw, quad)
    corners = [(quad.x1, quad.y1), (quad.x2, quad.y2), (quad.x3, quad.y3), (quad.x4, quad.y4)]
    return Polygon([(x * MM_PER_PT, y * MM_PER_PT) for x, y in corners])


def _path(thing: pdfium.PdfObject) -> Path:
    a, b, c, d, e, f = thing.get_matrix().get()

    def placed(x: float, y: float) -> Point:
        return (a * x + c * y + e) * MM_PER_PT, (b * x + d * y + f) * MM_PER_PT

    runs: list[list[Point]] = []
    handles: list[Point] = []
    for i in range(raw.FPDFPath_CountSegments(thing.raw)):
        segment = raw.FPDFPath_GetPathSegment(thing.raw, i)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        point, kind = placed(x.value, y.value), raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_MOVETO:
            runs.append([point])
        elif kind == raw.FPDF_SEGMENT_LINETO:
            runs[-1].append(point)
        else:
            handles.append(point)
            if len(handles) == 3:
                runs[-1].extend(_curve(runs[-1][-1], *handles))
                handles = []
        if raw.FPDFPathSegment_GetClose(segment):
            runs[-1].append(runs[-1][0])
    width, fill, stroke = ctypes.c_float(), ctypes.c_int(), ctypes.c_int()
    raw.FPDFPageObj_GetStrokeWidth(thing.raw, width)
    raw.FPDFPath_GetDrawMode(thing.raw, fill, stroke)
    scale = (a * d - b * c) ** 0.5 * MM_PER_PT
    return Path(runs=tuple(map(tuple, runs)), width_mm=width.value * scale, stroked=bool(stroke.value))


def _curve(p: Point, q: Point, r: Point, s: Point) -> list[Point]:
    """Points on a cubic, the closer the longer it is."""
    count = 12 + int(math.dist(p, s) / 8.0)
    points = []
    for i in range(1, count + 1):
        t = i / count
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
        points.append(tuple(sum(k * v[j] for k, v in zip(w, (p, q, r, s), strict=True)) for j in (0, 1)))
    return points  # type: ignore[return-value]
