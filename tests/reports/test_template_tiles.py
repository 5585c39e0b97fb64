"""What a lone tile of the template says, and the roll from afar: measured in the PDF by another library (PDFium)."""

from __future__ import annotations

import ctypes
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import chain
from typing import cast

import pypdfium2 as pdfium
import pytest
from pypdfium2 import raw
from shapely import LineString, MultiPolygon, Point, Polygon, box
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from formgen.drafting.ink import BAR, CENTRE, SPRINGING, TRIM, Stroke
from formgen.drafting.paper import SIZES_MM
from formgen.geometry.outline import Outline
from formgen.holding.model import Holding
from formgen.reports.drawing.subject import Subject, dowel_name
from formgen.reports.template.contents import Contents
from formgen.reports.template.cut import ALONG_MM, INTO_MM
from formgen.reports.template.fewest import fewest_pages
from formgen.reports.template.pdf import template
from formgen.reports.template.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, SIDE_MM, grid_over
from tests.conftest import shipped_form
from tests.reports.page_read import CAPITAL, MM_PER_PT
from tests.reports.paper_paths import Page, pages
from tests.reports.trials import TRIALS, trial

SOME = (
    "porch-door-jamb",
    "clock-surround",
    "bandstand-ogee",
    "lending-desk-panel",
    "reference-alcove",
    "newel-handrail",
)
#: Pages of tiles when the grid lay in the middle of the form, by recipe.
CENTRED = {
    "bandstand-ogee": 9, "bench-back-rail": 10, "chapel-window-half": 12, "clock-surround": 10, "gallery-casing": 22,
    "hall-fireplace-arch": 8, "lending-desk-panel": 34, "music-room-hood": 19, "newel-handrail": 16,
    "newspaper-stall": 19, "porch-door-jamb": 18, "reading-room-head": 14, "reference-alcove": 20, "stair-corner": 12,
    "west-window-measured": 14,
}  # fmt: skip
#: The same where shifting the grid saves most.
FEWEST = {
    "porch-door-jamb": 13,
    "clock-surround": 7,
    "newspaper-stall": 14,
    "music-room-hood": 15,
    "gallery-casing": 17,
}
#: Length of a tick (mm).
TICK_MM = math.hypot(ALONG_MM, INTO_MM)


def polygon(outline: Outline) -> Polygon:
    """An outline as chords within 0.01 mm."""
    return Polygon(outline.flattened(0.01))


@dataclass(frozen=True)
class Tile:
    """A tile: its name, what it shows on paper, and how to get from the form's axes to its paper."""

    page: Page
    form: Holding

    @cached_property
    def name(self) -> str:
        """Its name, the largest letters on it."""
        return max(self.page.texts, key=lambda each: heights(each[1]))[0].strip()

    @cached_property
    def cell(self) -> Polygon:
        """Its cell."""
        wide, high = self.page.size
        half = OVERLAP_MM / 2
        x0, y0 = MARGIN_MM + SIDE_MM + half, MARGIN_MM + FOOT_MM + half
        return box(x0, y0, wide - MARGIN_MM - half, high - MARGIN_MM - half)

    @cached_property
    def window(self) -> Polygon:
        """All that it shows."""
        return self.cell.buffer(OVERLAP_MM / 2, join_style="mitre")

    @cached_property
    def shift(self) -> tuple[float, float]:
        """What to add to a place of the form: the largest outline is drawn whole and cut off at the window's edge."""
        whole = Subject(self.form).whole
        x0, y0, x1, y1 = whole.bounds
        drawn = self.page.outline(x1 - x0, y1 - y0, 0.1).bounds
        return drawn[0] - x0, drawn[1] - y0

    def on_paper(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the form on the tile's paper."""
        moved: BaseGeometry = translate(shape, *self.shift)
        return moved

    @cached_property
    def words(self) -> list[tuple[str, Polygon]]:
        """What is written in its window."""
        return [(text.strip(), shape) for text, shape in self.page.texts if self.window.contains(shape.centroid)]

    def ticks(self) -> Iterator[LineString]:
        """Slanted ticks that begin in its window."""
        for path in self.page.paths:
            for run in path.runs:
                slanted = len(run) == 2 and abs(math.dist(*run) - TICK_MM) < 0.01
                if slanted and path.stroked and self.window.contains(Point(run[0])):
                    yield LineString(run)


def heights(shape: Polygon) -> float:
    """The shorter side of a text's box."""
    points = list(shape.exterior.coords)
    return min(math.dist(points[0], points[1]), math.dist(points[1], points[2]))


@dataclass(frozen=True, eq=False)
class Printed:
    """A form with both templates."""

    form: Holding
    both: tuple[bytes, bytes]

    @cached_property
    def key(self) -> Page:
        """The first page."""
        return next(pages(self.both[0]))

    @cached_property
    def tiles(self) -> tuple[Tile, ...]:
        """The tiles without the key."""
        return tuple(Tile(page, self.form) for page in list(pages(self.both[0]))[1:])


@cache
def printed_of(name: str) -> Printed:
    """A shipped form's."""
    form = cast("Holding", shipped_form(name))
    return Printed(form, template(form))


@pytest.fixture(scope="module", params=[*SOME, "small-mm", "crowded-mm"])
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    if request.param not in TRIALS:
        return printed_of(request.param)
    form = cast("Holding", trial(request.param, tmp_path_factory.mktemp(request.param)))
    return Printed(form, template(form))


def woods(form: Holding) -> list[MultiPolygon | Polygon]:
    """The wood of each kind of layer, dowel holes left in."""
    holes = unary_union([polygon(opening.outline) for opening in Subject(form).reliefs])
    return [polygon(outline).difference(holes) for outline in dict.fromkeys(layer.outline for layer in form.layers)]


def test_every_cut_line_on_a_tile_has_ticks_that_point_into_the_wood(printed: Printed) -> None:
    edge = polygon(Subject(printed.form).whole).exterior
    layers = woods(printed.form)
    for tile in printed.tiles:
        found = list(tile.ticks())
        on_paper = [tile.on_paper(wood) for wood in layers]
        for tick in found:
            start, tip = (Point(p) for p in tick.coords)
            here = [wood for wood in on_paper if wood.boundary.distance(start) < 0.1]
            assert any(wood.contains(tip) for wood in here), f"{tile.name}: a tick at {start} points into the air"
        line = tile.on_paper(edge)
        shown = line.intersection(tile.cell).length
        own = [tick for tick in found if line.distance(Point(tick.coords[0])) < 0.1]
        assert len(own) >= min(1, shown // 15) + shown // 60, tile.name


def test_every_tile_names_its_neighbours_at_their_edges(printed: Printed) -> None:
    tiles = printed.tiles
    names = {tile.name for tile in tiles}
    for tile in tiles:
        row, column = re.fullmatch(r"([A-Z]+)(\d+)", tile.name).groups()  # type: ignore[union-attr]
        x0, y0, x1, y1 = tile.cell.bounds
        places = [(0, -1), (0, 1), (-1, 0), (1, 0)]
        beside = [f"{chr(ord(row) + down)}{int(column) + right}" for down, right in places]
        written = {text: shape for text, shape in tile.words if re.fullmatch(r"[A-Z]+\d+", text)}
        assert written.keys() == names.intersection(beside), tile.name
        for text, shape in written.items():
            a0, b0, a1, b1 = shape.bounds
            off = [a0 - x0, x1 - a1, y1 - b1, b0 - y0]
            assert beside[off.index(min(off))] == text, f"{tile.name}: {text} stands at the edge of another"
            assert shape.bounds[3] - shape.bounds[1] >= 5.0 - 0.1


def test_tiles_are_counted(printed: Printed) -> None:
    tiles = printed.tiles
    for number, tile in enumerate(tiles, 1):
        assert f"{number} of {len(tiles)}" in [text.strip() for text, _ in tile.page.texts]


def test_what_a_tile_shows_of_holes_it_names_and_nothing_else(printed: Printed) -> None:
    subject = Subject(printed.form)
    reliefs = {str(n): polygon(opening.outline) for n, opening in enumerate(subject.reliefs, 1)}
    dowels = {dowel_name(n): Point(h.centre).buffer(h.diameter_mm / 2) for n, h in enumerate(subject.dowels)}
    for tile in printed.tiles:
        seen = tile.window.buffer(-0.8, join_style="mitre")
        shown = {name for name, shape in (reliefs | dowels).items() if tile.on_paper(shape).intersects(seen)}
        touched = {name for name, shape in (reliefs | dowels).items() if tile.on_paper(shape).intersects(tile.window)}
        named = {text.split(" ")[0] for text, _ in tile.words}
        assert shown <= named, f"{tile.name} leaves out {shown - named}"
        assert named & (reliefs | dowels).keys() <= touched


def test_a_tile_says_which_of_its_edges_is_the_face(printed: Printed) -> None:
    face = LineString(printed.form.face.sampled(0.01)).buffer(0.2)
    edge = polygon(Subject(printed.form).whole).exterior
    for tile in printed.tiles:
        line, on_face = tile.on_paper(edge).intersection(tile.cell), tile.on_paper(face)
        words = [text for text, _ in tile.words]
        if line.intersection(on_face).length > 20.0:
            assert "face" in words, tile.name
        if line.difference(on_face).length > 30.0:
            assert {"back", "end"} & set(words), tile.name


def test_no_leader_is_torn_at_the_edge_of_a_tile(printed: Printed) -> None:
    for tile in printed.tiles:
        for path in tile.page.paths:
            for run in path.runs:
                if len(run) == 3 and abs(path.width_mm - 0.25) < 0.01 and tile.window.intersects(LineString(run)):
                    assert tile.window.contains(LineString(run)), f"{tile.name}: {run}"


def capitals(content: bytes) -> Iterator[tuple[int, float, str]]:
    """Page, height of capitals (mm) and text of every text."""
    document = pdfium.PdfDocument(content)
    for number, page in enumerate(document):
        textpage = page.get_textpage()
        for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
            size, matrix = ctypes.c_float(), thing.get_matrix()
            raw.FPDFTextObj_GetFontSize(thing, size)
            buffer = ctypes.create_string_buffer(400)
            got = raw.FPDFTextObj_GetText(thing, textpage, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), 400)
            text = buffer.raw[: got - 2].decode("utf-16-le")
            yield number, size.value * math.hypot(matrix.c, matrix.d) * MM_PER_PT * CAPITAL, text


def test_no_letters_are_smaller_than_the_bench_can_read(printed: Printed) -> None:
    for number, high, text in chain.from_iterable(map(capitals, printed.both)):
        assert high >= 2.5 - 0.01, f"page {number}: {text}"


def test_a_roll_is_read_from_afar_and_keeps_off_the_plotters_knife(printed: Printed) -> None:
    roll = printed.both[1]
    found = list(pages(roll))
    for number, page in enumerate(found):
        large = " ".join(text for n, high, text in capitals(roll) if n == number and abs(high - 15.0) < 0.1)
        for word in (printed.form.recipe.name, "this side up", "face R", "width", "height"):
            assert word in large
        assert (len(found) == 1) != bool(re.search(r"\bA\d\b", page.text))
        inner = box(0.0, 0.0, *page.size).buffer(-19.5, join_style="mitre")
        drawn = [shape for _, shape in page.texts] + ([line for line, _ in page.strokes()] if len(found) == 1 else [])
        assert inner.contains(unary_union(drawn))


def test_the_map_fills_the_key(printed: Printed) -> None:
    """It is as wide as the paper, or reaches from the words to the foot."""
    key = printed.key
    cells = [p.bounds for p in key.paths if len(set(p.runs[0])) == 4 and Polygon(p.runs[0]).equals(box(*p.bounds))]
    wide = max(b[2] for b in cells) - min(b[0] for b in cells)
    low = min(b[1] for b in cells)
    assert wide >= key.size[0] - 2 * MARGIN_MM - SIDE_MM - 0.5 or low <= MARGIN_MM + FOOT_MM + 0.5
    for text, shape in key.texts:
        if re.fullmatch(r"[A-Z]+\d+", text.strip()):
            assert sum(box(*cell).contains(shape) for cell in cells) == 1, text


@pytest.mark.parametrize("name", CENTRED)
def test_no_more_pages_than_with_the_grid_in_the_middle_and_mostly_fewer(name: str) -> None:
    form = cast("Holding", shipped_form(name))
    grid, found = fewest_pages(
        SIZES_MM["letter" if form.recipe.units == "in" else "A4"], Contents(Subject(form)).segments
    )
    assert len(found) <= FEWEST.get(name, CENTRED[name])
    for paper in (grid.paper_mm, grid.paper_mm[::-1]):
        segments = Contents(Subject(form)).segments
        xs, ys = segments[:, ::2], segments[:, 1::2]
        middle = grid_over((xs.min() - 3.0, ys.min() - 3.0, xs.max() + 3.0, ys.max() + 3.0), paper)
        assert len(found) <= len(middle.pages(segments))


def test_each_line_has_the_pen_of_its_meaning() -> None:
    marked = Contents(Subject(printed_of("porch-door-jamb").form)).marked
    used = [ink.pen for ink in marked if isinstance(ink, Stroke)]
    assert [used.count(pen) for pen in (TRIM, SPRINGING, BAR)] == [2, 2, 2]
    assert CENTRE in used
