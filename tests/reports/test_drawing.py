"""The shop drawing, read back by other libraries: PDFium for the page, ezdxf for the drawing file, shapely for room."""

from __future__ import annotations

import io
import math
import os
import re
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import ezdxf.math
import pytest
from shapely import box

from formgen.form.model import Form
from formgen.geometry.outline import Outline
from formgen.outputs.record.job import job_record
from formgen.reports.drawing.lists import form_lists
from formgen.reports.drawing.part import drawn_part, measured
from formgen.reports.drawing.shapes import bounds
from formgen.reports.drawing.sheets import shop_drawing
from formgen.reports.drawing.subject import Subject, dowel_name
from tests.reports.drawn import RECIPES, SHIPPED, Drawn, drawing_of
from tests.reports.paper_paths import pages
from tests.reports.trials import SPANS, trial

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module", params=[*SHIPPED, *SPANS])
def drawn(request: pytest.FixtureRequest) -> Drawn:
    """A form, its drawing, and the pages printed from it."""
    return drawing_of(request.param)


def units(form: Form) -> str:
    return form.recipe.units


def in_mm(text: str, unit: str) -> float:
    """A size as it is written on the page, read by rules of its own: `18 31/64`, `−2 1/2`, `471.1`."""
    found = re.fullmatch(r"([-\u2212]?)(?:(\d+) (?=\d+/))?(?:(\d+)/(\d+)|(\d+(?:\.\d+)?))", text)
    assert found, text
    value = Fraction(found[2] or 0) + (Fraction(int(found[3]), int(found[4])) if found[3] else Fraction(found[5]))
    size = float(value) * (25.4 if unit == "in" else 1.0)
    return -size if found[1] else size


def near_to(value_mm: float, found: list[float], unit: str) -> bool:
    """Whether a number stands among others, as far as 1/64 in or 0.1 mm tell."""
    return any(abs(value_mm - other) <= (25.4 / 128 if unit == "in" else 0.05) + 1e-6 for other in found)


def sizes_on(drawing: bytes, unit: str) -> list[float]:
    """Every text of a drawing that is a size, and every size that ends a text."""
    found = []
    document = ezdxf.read(io.StringIO(drawing.decode()))
    for words in [words for space in (document.modelspace(), *document.blocks) for words in space.query("TEXT")]:
        ends = re.search(r"(?:^| )([-\u2212]?(?:\d+ )?\d+/\d+|[-\u2212]?\d+(?:\.\d+)?)(?: (?:in|mm))?$", words.dxf.text)
        if ends:
            found.append(in_mm(ends[1], unit))
    return found


def test_every_text_is_clear_of_lines_and_of_other_text(drawn: Drawn) -> None:
    for page in drawn[2]:
        assert len(page.texts) > 40
        assert page.clashes() == []


def test_everything_lies_inside_the_frame(drawn: Drawn) -> None:
    for page in drawn[2]:
        frame = max(
            (path for path in page.paths if path.width_mm > 0.6), key=lambda path: path.bounds[3] - path.bounds[1]
        )
        inside = box(*frame.bounds)
        assert inside.area > 0.85 * page.size[0] * page.size[1]
        for text, letters in page.texts:
            assert inside.buffer(-1.0).contains(letters), text
        for path in page.paths:
            assert inside.buffer(0.01).contains(box(*path.bounds))


def test_the_form_is_true_to_scale_on_the_page(drawn: Drawn) -> None:
    form, drawing, printed = drawn
    header = ezdxf.read(io.StringIO(drawing.decode())).header
    ratio = header["$DIMSCALE"] * (25.4 if units(form) == "in" else 1.0)
    x0, y0, x1, y1 = max((layer.outline for layer in form.layers), key=lambda o: o.area_mm2).bounds
    printed[0].outline((x1 - x0) / ratio, (y1 - y0) / ratio, within_mm=0.1)


def test_the_scale_that_is_written_is_the_scale_of_the_file(drawn: Drawn) -> None:
    form, drawing, printed = drawn
    header = ezdxf.read(io.StringIO(drawing.decode())).header
    per_mm = header["$DIMSCALE"] * (25.4 if units(form) == "in" else 1.0)
    assert f"1 : {per_mm:g}" in printed[0].text
    # ISO 5455: 1:1, 1:2, 1:5 and their tens, from memory; inches to the foot: common practice, no source
    allowed = {1, 2, 4, 8, 12, 16, 24, 32, 48, 64, 96} if units(form) == "in" else {1, 2, 5, 10, 20, 50, 100}
    assert round(per_mm, 6) in allowed


def test_the_drawing_file_has_the_form_at_full_size_about_its_datum(drawn: Drawn) -> None:
    form, drawing, _ = drawn
    document = ezdxf.read(io.StringIO(drawing.decode()))
    mm = 25.4 if units(form) == "in" else 1.0
    assert document.header["$INSUNITS"] == (1 if units(form) == "in" else 4)
    assert document.audit().errors == []
    whole = max((layer.outline for layer in form.layers), key=lambda o: o.area_mm2)
    outlines = [
        Outline.tidy([(x * mm, y * mm, b) for x, y, b in entity.get_points("xyb")])
        for entity in document.modelspace().query("LWPOLYLINE[layer=='EDGES']")
        if entity.closed and len(entity) == len(whole.vertices)
    ]
    assert any(
        all(math.isclose(a, b, abs_tol=1e-6) for a, b in zip(o.bounds, whole.bounds, strict=True)) for o in outlines
    )


def test_the_page_says_what_the_job_record_found(drawn: Drawn) -> None:
    form, drawing, _ = drawn
    unit, found = units(form), sizes_on(drawing, units(form))
    record: dict[str, Any] = job_record(form)["found"]
    wanted = [record["form"]["depth_mm"]]
    wanted += [cut["length_mm"] for cut in record["laminate"]["materials"]["cuts"]]
    wanted += [hole["centre_mm"][i] for p in _pieces(record) for hole in p["holes"] for i in (0, 1)]
    wanted += [
        o["outline"]["bounds_mm"][0] / 2 + o["outline"]["bounds_mm"][2] / 2
        for p in _pieces(record)
        for o in p["openings"]
    ]
    missing = [value for value in wanted if not near_to(value, found, unit)]
    assert missing == []


def test_the_page_says_what_was_asked(drawn: Drawn) -> None:
    form, drawing, _ = drawn
    found = sizes_on(drawing, units(form))
    asked = job_record(form)["asked"]["recipe"]["part"]
    wanted = [asked["depth_mm"]]
    two_legged = form.arch.two_legged
    if two_legged and asked["arch"].get("span_mm"):
        wanted.append(asked["arch"]["span_mm"])
    if two_legged and asked["arch"].get("rise_mm"):
        wanted.append(asked["arch"]["rise_mm"])
    if isinstance(asked["legs"], float) and asked["legs"] and two_legged:
        wanted.append(asked["legs"])
    assert [value for value in wanted if not near_to(value, found, units(form))] == []


def test_every_relief_and_dowel_is_named_on_the_form(drawn: Drawn) -> None:
    form, _, printed = drawn
    subject = Subject(form)
    names = [text.strip() for text, _ in printed[0].texts]
    for number in range(1, len(subject.reliefs) + 1):
        assert str(number) in names
    for number in range(len(subject.dowels)):
        assert "abcdefghjkmnpqrstuvwxyz"[number] in names


def test_no_dowel_has_the_name_of_a_figure_and_no_two_have_the_same() -> None:
    names = [dowel_name(number) for number in range(600)]
    assert names[:13] == list("abcdefghjkmnp")
    assert names[22:25] == ["z", "aa", "ab"]
    assert len(set(names)) == 600
    assert not set("".join(names)) & set("ilo")


def _pieces(record: dict[str, Any]) -> list[dict[str, Any]]:
    return [piece for layer in record["form"]["layers"] for piece in layer["pieces"]]


def as_the_style_writes(measured: float, dimension: Any) -> str:
    """A number as a program that reads the drawing writes it again, by the style's own variables."""
    style = dimension.override()
    value = measured * style.get("dimlfac", 1.0)
    if style.get("dimlunit") == 2:
        return f"{round(value + 1e-9, style.get('dimdec')):g}"
    parts = Fraction(math.floor(value * 2 ** style.get("dimdec") + 0.5 + 1e-6), 2 ** style.get("dimdec"))
    whole, rest = divmod(parts, 1)
    return f"{whole} {rest}" if whole and rest else f"{whole or rest}"


def test_every_size_is_measured_by_a_dimension_that_says_what_the_page_says(
    drawn: Drawn,
) -> None:
    form, drawing, printed = drawn
    document = ezdxf.read(io.StringIO(drawing.decode()))
    dimensions = list(document.modelspace().query("DIMENSION"))
    assert len(dimensions) >= 5
    assert {d.dimtype for d in dimensions} <= {0, 4}
    on_pages = [text.strip() for page in printed for text, _ in page.texts]
    for dimension in dimensions:
        assert dimension.dxf.dimstyle == "SIZES"
        measured = dimension.get_measurement()
        assert dimension.dxf.actual_measurement == pytest.approx(measured, abs=1e-9)
        shown = [text.dxf.text for text in document.blocks.get(dimension.dxf.geometry).query("TEXT")]
        number = as_the_style_writes(measured, dimension)
        assert shown == [(dimension.dxf.get("text", "") or "<>").replace("<>", number)]
        assert shown[0] in on_pages
        middle = dimension.dxf.text_midpoint
        assert ezdxf.bbox.extents(document.blocks.get(dimension.dxf.geometry)).inside(middle)
    widths = [d.get_measurement() for d in dimensions if not d.dimtype and not d.dxf.angle]
    assert near_to(form.depth_mm, [w * (25.4 if units(form) == "in" else 1.0) for w in widths], units(form))


def drawn_at(document: Any) -> tuple[list[set[float]], set[tuple[float, float, float]]]:
    """Where drawn edges begin, end and turn back, along x and along y; and the circles on which their arcs lie."""
    along: list[set[float]] = [set(), set()]
    circles = set()
    for entity in document.modelspace().query("LWPOLYLINE LINE"):
        flat = entity.dxftype() == "LINE"
        points = (
            [(e.x, e.y, 0.0) for e in (entity.dxf.start, entity.dxf.end)] if flat else list(entity.get_points("xyb"))
        )
        for (x, y, bulge), after in zip(points, [*points[1:], points[0]], strict=True):
            along[0].add(x)
            along[1].add(y)
            if bulge:
                centre, _, _, r = ezdxf.math.bulge_to_arc((x, y), after[:2], bulge)
                circles.add((centre.x, centre.y, r))
                along[0] |= {centre.x - r, centre.x + r}
                along[1] |= {centre.y - r, centre.y + r}
    return along, circles


def test_a_dimension_hangs_on_what_is_drawn(drawn: Drawn) -> None:
    form, drawing, _ = drawn
    document = ezdxf.read(io.StringIO(drawing.decode()))
    mm = 25.4 if units(form) == "in" else 1.0
    along, circles = drawn_at(document)
    ends = Subject(form).face_ends  # where a line that is drawn crosses the face
    springing = Subject(form).on_face(form.laminate.springing_mm[1])
    part = drawn_part(form).gauge
    _, foot, _, top = bounds(measured(part))
    for dimension in document.modelspace().query("DIMENSION"):
        if dimension.dimtype == 4:
            centre, tip = dimension.dxf.defpoint, dimension.dxf.defpoint4
            on = [r for x, y, r in circles if math.dist((x, y), (centre.x, centre.y)) < 1e-6]
            assert on
            half = form.laminate.thickness_mm / mm
            assert any(abs(math.dist(centre, tip) - r) <= half for r in on)
            continue
        axis = 1 if dimension.dxf.angle else 0
        for point in (dimension.dxf.defpoint2, dimension.dxf.defpoint3):
            known = [*along[axis], *(end[axis] / mm for end in (*ends, springing))]
            if min(abs(point[axis] - other) for other in known) > 2e-6 / mm:  # on the part's base line or middle line
                full_mm = dimension.get_measurement() * dimension.override().get("dimlfac", 1.0) * mm
                assert min(abs(full_mm - size) for size in (part.span_mm, top, -foot)) < 1e-6
        assert dimension.dxf.defpoint[axis] == pytest.approx(dimension.dxf.defpoint3[axis], abs=1e-9)


@pytest.mark.parametrize(
    ("name", "paper"),
    [
        ("small-mm", "letter"), ("large-mm", "A4"), ("small-in", "A4"), ("large-mm", "tabloid"), ("small-in", "A3"),
        ("large-in", "letter"),
    ],
)  # fmt: skip
def test_a_paper_that_is_asked_for_holds_everything(name: str, paper: str, tmp_path: Path) -> None:
    printed = list(pages(shop_drawing(trial(name, tmp_path, f"size: {paper}"))[1]))
    for page in printed:
        assert page.clashes() == []
        assert f"of {len(printed)}, {paper}" in page.text
    text = " ".join(page.text for page in printed)
    for title in ("Face", "Plies", "Lay-up", "Part, finished", "Section A–A"):
        assert title in text


def test_a_crowded_form_is_drawn_whole_and_says_what_it_does_not_name() -> None:
    """100 plies and some fifty clamps: many scales are tried, which takes a few seconds."""
    form, drawing, read = drawing_of("crowded-mm")
    assert [clash for page in read for clash in page.clashes()] == []
    found = sizes_on(drawing, "mm")
    assert all(near_to(ply.length_mm, found, "mm") for ply in form.laminate.plies)
    names = [text.strip() for text, _ in read[0].texts]
    numbers = [str(n) for n in range(1, len(Subject(form).reliefs) + 1)]
    unnamed = [n for n in numbers if n not in names]
    told = re.search(r"no room to name: ([^;]*);", read[0].text)
    assert all(told and n in re.split(r",? |, ", told[1]) for n in unnamed[:8])


@pytest.mark.parametrize("projection", ["first-angle", "third-angle"])
def test_the_end_view_is_turned_by_the_projection(projection: str, tmp_path: Path) -> None:
    """In third angle the view from the right stands at the right, so the side that faces the reader is next to it."""
    page = next(pages(shop_drawing(trial("small-mm", tmp_path, f"projection: {projection}"))[1]))
    assert projection.replace("-", " ") in page.text
    places = {text.strip(): letters.centroid.x for text, letters in page.texts}
    labelled = next(x for text, x in places.items() if text.endswith("labelled side") and text.startswith("layer"))
    assert (labelled < places["layer 1"]) == (projection == "third-angle")


def test_the_same_recipe_gives_the_same_bytes_in_another_process() -> None:
    code = (
        "import hashlib, sys; from pathlib import Path\n"
        "from formgen.pipeline import run; from formgen.recipe.load import load_recipe\n"
        "from formgen.reports.drawing.sheets import shop_drawing; from formgen.reports.template.pdf import template\n"
        "form = run(load_recipe(Path(sys.argv[1])))\n"
        "print(*(hashlib.sha256(b).hexdigest() for b in (*shop_drawing(form), *template(form))))"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code, str(RECIPES / "clock-surround.yaml")],
            capture_output=True, text=True, check=True, cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(found) == 1
    assert len(found.pop().split()) == 4


def test_ordinates_run_along_the_face(made: Callable[[str], Form]) -> None:
    """From the left end to the right one; where the face passes an x twice, in the order in which it is walked."""
    form = made("clock-surround")
    (table,) = [table for table in form_lists(Subject(form)) if table.title == "Face"]
    found = [form.face.nearest(in_mm(x, "mm"), in_mm(y, "mm")) for x, y in table.rows]
    stations = [station for station, _ in found]
    assert stations == sorted(stations, reverse=True)
    assert stations[0] == pytest.approx(form.face.length_mm, abs=0.1)
    assert max(abs(off) for _, off in found) <= 0.1  # tenths of a mm are written
