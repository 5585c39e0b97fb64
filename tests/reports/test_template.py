"""The full-size template, measured in the PDF by another library (PDFium), with shapely where shapes are compared."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Polygon, box

from formgen.drafting.paper import HATCH_MM
from formgen.form.model import Form
from formgen.outputs.record.job import job_record
from formgen.reports.template import roll, window
from formgen.reports.template.pdf import template
from formgen.reports.template.tiles import OVERLAP_MM, grid_over, tile_name
from tests.reports.paper_paths import Page, asks_for_full_size, pages
from tests.reports.paper_paths import Path as Drawn
from tests.reports.trials import TRIALS, trial

#: What may be lost between the form and the page (mm).
WITHIN_MM = 0.1
SOME = ("porch-door-jamb", "clock-surround", "bandstand-ogee", "lending-desk-panel", "stair-corner")


@pytest.fixture(scope="module", params=[*SOME, "small-mm", "large-mm"])
def printed(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Form, list[Page], list[Page]]:
    """A form, the pages of its tiled template (the key first), and those of its roll."""
    from tests.conftest import shipped_form

    name = request.param
    form = trial(name, tmp_path_factory.mktemp(name)) if name in TRIALS else shipped_form(name)
    tiles, roll = template(form)
    assert asks_for_full_size(tiles)
    assert asks_for_full_size(roll)
    return form, list(pages(tiles)), list(pages(roll))


def cell_of(page: Page) -> tuple[float, float, float, float]:
    """The grey edge of a tile's cell."""
    cells = [p for p in page.paths if abs(p.width_mm - HATCH_MM) < 0.01 and len(p.runs) == 1 and len(p.runs[0]) >= 5]
    assert len(cells) == 1
    return cells[0].bounds


def name_of(page: Page) -> str:
    """What is written large at the foot: `B3`."""
    words = [(text.strip(), shape.bounds) for text, shape in page.texts]
    large = [text for text, b in words if re.fullmatch(r"[A-Z]+\d+", text) and b[3] - b[1] > 6]
    assert len(large) == 1
    return large[0]


def bar_lengths(page: Page, margin_mm: float) -> set[float]:
    """Lengths of the longest level and upright thin lines outside the cell: the check bars."""
    lines = [p.bounds for p in page.paths if len(p.runs) == 1 and len(p.runs[0]) == 2]
    level = [x1 - x0 for x0, y0, x1, y1 in lines if y1 - y0 < 1e-6 and y1 < margin_mm + 13]
    upright = [y1 - y0 for x0, y0, x1, y1 in lines if x1 - x0 < 1e-6 and x1 < margin_mm + 7]
    return {round(max(level), 3), round(max(upright), 3)}


def outline_on(page: Page, form: Form) -> Drawn:
    """The form's edge as the page draws it."""
    record = job_record(form)["found"]["form"]["layers"]
    largest = max((layer["outline"] for layer in record), key=lambda o: o["area_mm2"])
    return page.outline(largest["width_mm"], largest["height_mm"], WITHIN_MM)


def test_the_roll_shows_the_form_at_full_size(printed: tuple[Form, list[Page], list[Page]]) -> None:
    form, _, roll = printed
    drawn = outline_on(roll[0], form)
    record = job_record(form)["found"]["form"]["layers"]
    largest = max((layer["outline"] for layer in record), key=lambda o: o["area_mm2"])
    shape = Polygon(drawn.runs[0])
    assert math.isclose(shape.length, largest["length_mm"], abs_tol=WITHIN_MM)
    assert math.isclose(shape.area, largest["area_mm2"], rel_tol=2e-4)


def test_the_roll_has_the_radius_of_the_face(printed: tuple[Form, list[Page], list[Page]]) -> None:
    """A circle through the points of the page that lie on the longest arc of the face, by least squares (Kåsa)."""
    form, _, roll = printed
    face = form.pressing.face.merged()
    length, curvature = max((p for p in face.pieces if p[1]), key=lambda p: p[0])
    if length < 100:
        pytest.skip("a face of many short arcs")
    points = np.array(outline_on(roll[0], form).runs[0])
    x0, y0, *_ = outline_on(roll[0], form).bounds
    largest = max((layer.outline for layer in form.layers), key=lambda o: o.area_mm2)
    at = points - (x0, y0) + largest.bounds[:2]
    start = face.knots[face.pieces.index((length, curvature))]
    centre = np.array([start.x_mm, start.y_mm]) + np.array(start.left) / curvature
    on_arc = at[np.abs(np.hypot(*(at - centre).T) - 1 / abs(curvature)) < 0.05]
    assert len(on_arc) > 10
    a = np.column_stack([2 * on_arc, np.ones(len(on_arc))])
    cx, cy, rest = np.linalg.lstsq(a, (on_arc**2).sum(axis=1), rcond=None)[0]
    assert math.isclose(math.sqrt(rest + cx**2 + cy**2), 1 / abs(curvature), abs_tol=WITHIN_MM)


def test_check_bars_are_as_long_as_they_say(printed: tuple[Form, list[Page], list[Page]]) -> None:
    form, tiles, roll = printed
    in_inches = form.recipe.units == "in"
    long, text = (4 * 25.4, "4 in") if in_inches else (100.0, "100 mm")
    for page, margin_mm in (*((page, 7.0) for page in tiles), *((page, 20.0) for page in roll)):
        assert all(math.isclose(bar, long, abs_tol=0.01) for bar in bar_lengths(page, margin_mm))
        assert f"check bar {text}" in page.text


def test_tiles_fit_together_at_their_crosses(printed: tuple[Form, list[Page], list[Page]]) -> None:
    """The corners of every cell, measured from the form's edge that runs through its page, lie on one grid."""
    form, tiles, _ = printed
    corners: dict[str, tuple[float, float, float, float]] = {}
    for page in tiles[1:]:
        try:
            edge = outline_on(page, form).bounds
        except AssertionError:
            continue  # a page that shows only a line's end
        cell = cell_of(page)
        name = name_of(page)
        corners[name] = tuple(c - e for c, e in zip(cell, (*edge[:2], *edge[:2]), strict=True))  # type: ignore[assignment]
    assert len(corners) >= min(4, len(tiles) - 1)
    for name, (_, y0, x1, _) in corners.items():
        row, column = name.rstrip("0123456789"), int(name.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
        right, below = f"{row}{column + 1}", f"{chr(ord(row) + 1)}{column}"
        if right in corners:
            assert math.isclose(corners[right][0], x1, abs_tol=0.01)
        if below in corners:
            assert math.isclose(corners[below][3], y0, abs_tol=0.01)


def test_the_tiles_together_show_the_whole_edge(printed: tuple[Form, list[Page], list[Page]]) -> None:
    """What the cells show, laid side by side, is as long as the form's edge."""
    form, tiles, _ = printed
    shown, whole = 0.0, 0.0
    for page in tiles[1:]:
        try:
            edge = outline_on(page, form)
        except AssertionError:
            continue
        line = LineString(edge.runs[0])
        whole = line.length
        shown += line.intersection(box(*cell_of(page))).length
    assert math.isclose(shown, whole, abs_tol=WITHIN_MM)


def test_pages_are_the_shops_paper(printed: tuple[Form, list[Page], list[Page]]) -> None:
    form, tiles, _ = printed
    paper = (8.5 * 25.4, 11 * 25.4) if form.recipe.units == "in" else (210.0, 297.0)
    for page in tiles:
        assert sorted(page.size) == pytest.approx(sorted(paper), abs=0.01)
        assert page.size == pytest.approx(tiles[0].size)


def test_text_is_clear_and_nothing_is_clipped(printed: tuple[Form, list[Page], list[Page]]) -> None:
    _, tiles, roll = printed
    assert tiles[0].clashes() == []
    for page in tiles[1:]:
        window = box(*cell_of(page)).buffer(OVERLAP_MM / 2, join_style="mitre")
        assert page.clashes(window=window) == []
        for text, letters in page.texts:
            inside = window.contains(letters)
            assert inside or not window.intersects(letters), f"{text} is cut by the edge of the page"
    for page in roll:
        assert page.clashes() == []


def test_the_key_says_what_to_measure_and_names_every_page(printed: tuple[Form, list[Page], list[Page]]) -> None:
    _, tiles, _ = printed
    key = tiles[0].text
    assert "Print at 100 %" in key
    assert f"{len(tiles) - 1} pages" in key
    named = {name_of(page) for page in tiles[1:]}
    assert len(named) == len(tiles) - 1
    for name in named:
        assert name in key


def test_a_roll_says_what_the_whole_measures(made: Callable[[str], Form]) -> None:
    form = made("clock-surround")
    outline = max((layer.outline for layer in form.layers), key=lambda o: o.area_mm2)
    x0, y0, x1, y1 = outline.bounds
    text = next(pages(template(form)[1])).text
    found = re.search(r"width ([\d.]+) mm height ([\d.]+) mm", text)
    assert found
    assert [float(found[1]), float(found[2])] == pytest.approx([x1 - x0, y1 - y0], abs=0.05)


@pytest.mark.parametrize("which", [0, 1])
def test_what_is_marked_has_its_name(made: Callable[[str], Form], which: int) -> None:
    """Tiled too, where lines lie on the joints of pages."""
    text = " ".join(page.text for page in pages(template(made("porch-door-jamb"))[which]))
    for word in ("face", "back", "end", "trim", "springing", "centre line", "bar", "layers 4 to 8 end here", "⌀ 10 mm"):
        assert word in text


def test_no_name_is_left_out_of_a_shipped_template(shipped: Form) -> None:
    """As often on the tiles, which overlap, as in one piece."""
    tiled, rolled = (" ".join(page.text for page in pages(content)) for content in template(shipped))
    for word in ("trim", "springing", "centre line", "bar", "joint,", "end here", "are notched here", "cut here"):
        assert tiled.count(word) >= rolled.count(word), word


@pytest.mark.parametrize("name", [*SOME, "crowded-mm"])
def test_every_name_finds_room(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.conftest import shipped_form

    left_out: list[str] = []

    def kept(write: Callable[..., list[str]]) -> Callable[..., list[str]]:
        def keep(*given: object) -> list[str]:
            left_out.extend(write(*given))
            return []

        return keep

    monkeypatch.setattr(window, "put_names", kept(window.put_names))
    monkeypatch.setattr(window, "put_neighbours", kept(window.put_neighbours))
    monkeypatch.setattr(roll, "put_names", kept(roll.put_names))
    template(trial(name, tmp_path) if name in TRIALS else shipped_form(name))
    assert left_out == []


def test_a_template_longer_than_a_page_may_be_is_rolled_out_in_several(tmp_path: Path) -> None:
    """A page of a PDF is at most 14 400 units of 1/72 in long (PDF 1.7, annex C)."""
    from formgen.pipeline import run
    from formgen.recipe.load import load_recipe

    text = TRIALS["large-mm"].replace("span: 4000, rise: 700", "span: 7000, rise: 900")
    (tmp_path / "long.yaml").write_text(f"format: 1\nname: long\n{text}", encoding="utf-8")
    form = run(load_recipe(tmp_path / "long.yaml"))
    roll = list(pages(template(form)[1]))
    assert len(roll) == 2
    assert all(max(page.size) <= 200 * 25.4 for page in roll)
    x_right, x_left = (
        cell_of(page)[2 * i] - outline_on(page, form).bounds[0] for i, page in ((1, roll[0]), (0, roll[1]))
    )
    assert math.isclose(x_right, x_left, abs_tol=0.01)


@pytest.mark.parametrize(("row", "column", "name"), [(0, 0, "A1"), (25, 11, "Z12"), (26, 0, "AA1"), (52, 1, "BA2")])
def test_rows_are_lettered_on(row: int, column: int, name: str) -> None:
    assert tile_name(row, column) == name


def test_a_grid_covers_what_it_is_over() -> None:
    grid = grid_over((-500.0, -20.0, 700.0, 300.0), (210.0, 297.0))
    cells = [grid.cell(row, column) for row in range(grid.rows) for column in range(grid.columns)]
    together = box(*cells[0])
    for cell in cells[1:]:
        together = together.union(box(*cell))
    assert together.buffer(1e-6).contains(box(-500.0, -20.0, 700.0, 300.0))
