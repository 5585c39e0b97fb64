"""The form's picture: its true outline, one tone on each smooth wall, name and size, and the same in README."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest
import shapely
from shapely.affinity import affine_transform

from formgen.form.model import Form
from formgen.lengths import write_sizes
from formgen.outputs.html.paint import by_day
from formgen.outputs.picture import TILT, TURN, picture_file, svg
from tests.conftest import RECIPES
from tests.outputs.svg_paths import polygons

SVG = "{http://www.w3.org/2000/svg}"


def elements(form: Form) -> list[ET.Element]:
    return list(ET.fromstring(picture_file(form)).iter())  # noqa: S314 -- our own file


@pytest.mark.parametrize("name", ["porch-door-jamb", "clock-surround", "bandstand-ogee", "newel-handrail"])
def test_each_face_is_the_piece_seen_aslant(made: Callable[[str], Form], name: str) -> None:
    """Turned by shapely: an affine picture of the flattened piece, up to one scale and a shift."""
    form = made(name)
    faces = [polygons(e.get("d") or "")[0] for e in elements(form) if e.get("fill-rule") == "evenodd"]
    c, s, lean = math.cos(TURN), math.sin(TURN), math.sin(TILT)
    seen = [
        affine_transform(shapely.Polygon(piece.outline.flattened(0.05)), (c, -s, -s * lean, -c * lean, 0, 0))
        for _, piece in form.pieces
    ]
    scale = math.sqrt(sum(f.area for f in faces) / sum(p.area for p in seen))
    for face, true in zip(faces, seen, strict=True):
        x, y = true.centroid.x * scale, true.centroid.y * scale
        shifted = affine_transform(true, (scale, 0, 0, scale, face.centroid.x - x, face.centroid.y - y))
        assert face.symmetric_difference(shifted).area < 2e-3 * face.area


def upper_edge(wall: ET.Element) -> list[tuple[float, float]]:
    """The upper edge of a wall, which is travelled to the right as far as it is seen."""
    points = list(polygons(wall.get("d") or "")[0].exterior.coords)
    end = next((i for i in range(1, len(points)) if points[i][0] <= points[i - 1][0]), len(points))
    return points[:end]


@pytest.mark.parametrize("name", ["porch-door-jamb", "clock-surround", "lending-desk-panel", "bandstand-ogee"])
def test_a_wall_has_one_tone_as_far_as_it_turns_no_corner(made: Callable[[str], Form], name: str) -> None:
    """Smooth walls meet at joints between pieces only, and there in the same tone."""
    form = made(name)
    walls = [e for e in elements(form) if (e.get("class") or "").startswith(("fill-wall", "fill-shade"))]
    drawn = [(edge, wall.get("class")) for wall in walls if len(edge := upper_edge(wall)) > 1]
    begins = {edge[0]: (edge, tone) for edge, tone in drawn}
    met = [(edge, tone, *begins[edge[-1]]) for edge, tone in drawn if edge[-1] in begins]
    for before, tone, after, next_tone in met:
        into, out = (math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in (before[-2:], after[:2]))
        if abs(math.degrees(out - into)) < 4.0:
            assert any(layer.joints for layer in form.layers)
            assert tone == next_tone
    assert met or name != "porch-door-jamb"


def test_the_silhouette_is_heavier_than_the_lines_inside(made: Callable[[str], Form]) -> None:
    behind, over = (e for e in elements(made("porch-door-jamb")) if e.tag == f"{SVG}use")
    assert float(behind.get("stroke-width", 0)) / 2 > 2 * float(over.get("stroke-width", 0))
    assert behind.get("href") == over.get("href") == "#stack"


@pytest.mark.parametrize("name", ["porch-door-jamb", "clock-surround"])
def test_name_and_size_stand_below_it_in_the_drawing_boards_letters(made: Callable[[str], Form], name: str) -> None:
    form = made(name)
    root, *rest = elements(form)
    boxes = [layer.outline.bounds for layer in form.layers]
    x0, y0, x1, y1 = (pick(b[i] for b in boxes) for i, pick in enumerate((min, min, max, max)))
    size = write_sizes((x1 - x0, y1 - y0, form.depth_mm), form.recipe.units)
    assert root.get("aria-label") == f"Form {name}, {size}, {len(form.layers)} layers"
    points = [tuple(map(float, p.split())) for p in re.split("[ML]", rest[-1].get("d") or "") if p]
    assert max(y for _, y in points) < float(root.get("viewBox", "").split()[3])
    assert max(x for x, _ in points) < float(root.get("viewBox", "").split()[2])


def test_a_file_holds_its_colours_and_a_page_has_them(made: Callable[[str], Form]) -> None:
    form = made("porch-door-jamb")
    alone, inside = str(picture_file(form)), str(svg(form))
    assert "prefers-color-scheme: dark" in alone
    assert "<style" not in inside
    assert "url(" not in alone
    assert f'class="fill-wood" fill="{by_day("wood")}"' in alone
    assert len(alone) < 60_000


def test_the_picture_in_readme_is_what_is_made(made: Callable[[str], Form], request: pytest.FixtureRequest) -> None:
    path = RECIPES / "pictures" / "porch-door-jamb.svg"
    content = picture_file(made("porch-door-jamb"))
    if request.config.getoption("--renew"):
        path.write_text(content, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == content, "pytest tests/outputs/test_form_picture.py --renew"
