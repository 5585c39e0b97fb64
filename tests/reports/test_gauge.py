"""The gauge page and the gauge plate, read back by other libraries: true to scale, true to the record, in order."""

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
import pytest
import shapely
from ezdxf.math import bulge_center

from formgen.curve.gauge_plate import gauge_plate
from formgen.curve.ordinates import ordinates
from formgen.form.model import Form
from formgen.lengths import write_length
from formgen.outputs.record.job import job_record
from formgen.reports.gauge.page import gauge_page
from formgen.reports.gauge.plate import gauge_dxf
from tests.reports.page_read import UNUSUAL, UNUSUAL_NAMES, box_of, in_order, large_or_small, read
from tests.reports.paper_paths import pages

ROOT = Path(__file__).parents[2]


# --- the page


def test_every_shipped_page_is_in_order(shipped: Form) -> None:
    page = in_order(gauge_page(shipped))
    assert "?" not in page.text


@pytest.mark.parametrize(("arch", "more", "plies", "form"), UNUSUAL, ids=UNUSUAL_NAMES)
def test_small_and_large_parts_fit(tmp_path: Path, arch: str, more: str, plies: str, form: str) -> None:
    in_order(gauge_page(large_or_small(tmp_path, arch, more, plies, form)))


@pytest.mark.parametrize("name", ["porch-door-jamb", "bandstand-ogee", "hall-fireplace-arch"])
def test_figures_stand_on_their_point_and_are_read_at_the_bench(made: Callable[[str], Form], name: str) -> None:
    """Every text is 2.5 mm high, what is wanted 3.5; a column's figures have their point on one line."""
    form = made(name)
    texts = [(text.strip(), box) for page in pages(gauge_page(form)) for text, box in page.texts]
    page = read(gauge_page(form))
    assert min(page.capitals) >= 2.5 - 0.01
    wanted = [bare(write_length(r.wanted_mm, form.recipe.units)) for r in form.makes[0].readings]
    if form.recipe.units == "mm":
        figures = [(text, box.bounds) for text, box in texts if text in wanted and text.count(".") == 1]
        ends: dict[float, int] = {}
        for _, (_, _, right, _) in figures:
            ends[round(right)] = ends.get(round(right), 0) + 1
        assert len(figures) > 15
        assert sum(sorted(ends.values())[-6:]) >= 0.95 * len(figures)  # one decimal: in line at the right
    assert len([h for h in page.capitals if h == pytest.approx(3.5, abs=0.01)]) >= len(wanted)


def test_the_crown_is_named_and_ruled(made: Callable[[str], Form]) -> None:
    assert " 7 crown 18 18 " in f" {read(gauge_page(made('porch-door-jamb'))).text} "
    assert "4 deepest" in read(gauge_page(made("bandstand-ogee"))).text


def test_rows_that_one_side_cannot_hold_go_on_a_second(tmp_path: Path) -> None:
    """The mark that a part must not be pressed takes the paper on which seventeen rows could be written in."""
    stiff = ("{kind: semicircle, span: 800}", ", legs: 300", "plies: 4, thickness: 30", "backing: 80")
    form = large_or_small(tmp_path, *stiff)
    assert not form.verdict.may
    content = gauge_page(form)
    sides = [in_order(content, number=i, pages=2) for i in range(read(content).pages)]
    numbers = [r.number for r in form.makes[0].readings if r.face == "outside" and r.number]
    assert len(sides) == 2
    assert all(f" {number} " in f" {sides[0].text} {sides[1].text} " for number in numbers)
    assert all("outside ± found" in side.text for side in sides)


def test_the_drawing_measures_what_the_record_says(shipped: Form) -> None:
    page, found = read(gauge_page(shipped)), job_record(shipped)["found"]["gauge"]
    scale = float(re.findall(r"Drawn 1 : ([\d.]+)", page.text)[0])
    part = max(map(box_of, page.curved), key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
    poly = shapely.Polygon([*_points(shipped, "inside"), *_points(shipped, "outside")[::-1]])
    x0, y0, x1, y1 = poly.bounds
    assert (part[2] - part[0]) == pytest.approx((x1 - x0) / scale, abs=0.1)
    assert (part[3] - part[1]) == pytest.approx((y1 - y0) / scale, abs=0.1)
    # the lines of the stations: as far apart on paper as in the record, and as long as the farther face is high
    upright = sorted((b for b in page.lines if b[2] - b[0] < 0.01 and b[1] > part[1] - 0.01), key=lambda b: b[0])
    rows = [r for r in found["rows"] if _reach(r) / scale > 0.1]
    assert len(upright) == len(rows) > 5
    for box, row in zip(upright, rows, strict=True):
        assert (box[0] - part[0]) == pytest.approx((row["from_a_mm"] - x0) / scale, abs=0.1)
        assert box[3] - box[1] == pytest.approx(_reach(row) / scale, abs=0.1)


def _reach(row: dict[str, Any]) -> float:
    """How long a station's line is: from the base line, or the lower face, to the higher one."""
    heights = [row[f]["height_mm"] for f in ("inside", "outside") if row[f] is not None]
    return max([*heights, 0.0]) - min([*heights, 0.0])


def _points(form: Form, face: str) -> list[tuple[float, float]]:
    curve = getattr(ordinates(form.arch), face)
    return [(float(x), float(y)) for x, y in curve.sampled(1e-3)]


def test_every_number_of_the_record_is_on_the_page(shipped: Form) -> None:
    text, record = read(gauge_page(shipped)).text, job_record(shipped)
    units, found = record["asked"]["recipe"]["units"], record["found"]["gauge"]
    for row in found["rows"]:
        cells = [bare(write_length(row["from_a_mm"], units))]
        for face in ("inside", "outside"):
            if row[face] is None:
                cells.append("–")
                continue
            play = row[face]["play_mm"]
            steep = play is None or play > 4 * found["tolerance_mm"]
            cells += [bare(write_length(row[face]["height_mm"], units)), "steep" if steep else bare(_down(play, units))]
        assert " ".join(cells) in text
    for across in found["across"]:
        assert bare(write_length(across["outside_mm"], units)) in text
    (part,) = record["found"]["makes"]
    assert part["code"] in text
    for reading in part["readings"]:
        if reading["name"] != "ordinate":
            assert f"{reading['name']} at {'' if 'station' in reading['place'] else 'the '}{reading['place']}" in text


def bare(length: str) -> str:
    """A length without its unit, which the heads name."""
    return length.removesuffix(" in").removesuffix(" mm")


def _down(mm: float, units: str) -> str:
    """A limit rounded down to 1/64 in or 0.1 mm, never up; below one mark in thousandths or hundredths."""
    in_marks = Fraction(math.floor(mm / 25.4 * 64 + 1e-6), 64) if units == "in" else math.floor(mm * 10 + 1e-6) / 10
    if not in_marks:
        return f"{mm / 25.4:.3f} in" if units == "in" else f"{mm:.2f} mm"
    return f"{in_marks} in" if units == "in" else f"{in_marks:.1f} mm"


def test_what_bulges_past_the_base_line_is_left_to_the_board(tmp_path: Path, made: Callable[[str], Form]) -> None:
    keyhole = "{kind: chain, pieces: [{length: 170}, {length: 1042, radius: 226}, {length: 186, radius: -283}]}"
    form = large_or_small(tmp_path, keyhole, "", "plies: 20, thickness: 20", "backing: 80")
    said = "the check for what lies past A and B"
    assert said in in_order(gauge_page(form)).text
    assert said not in read(gauge_page(made("porch-door-jamb"))).text


# --- the plate


def test_the_plate_is_cut_by_true_arcs_to_the_face(made: Callable[[str], Form]) -> None:
    # A semicircle of span 36 in measured on its inside: an arc of 18 in from A over the crown to B, on legs 50 mm long.
    document = _read(gauge_dxf(made("porch-door-jamb")))
    assert document.header["$INSUNITS"] == 1
    (plate,) = [e for e in document.modelspace() if e.dxf.layer == "OUTSIDE PROFILE"]
    assert plate.dxftype() == "LWPOLYLINE"
    assert plate.closed
    bends = [
        (math.dist(a[:2], b[:2]), a[4])
        for a, b in zip(plate.get_points(), [*plate.get_points()[1:], plate.get_points()[0]], strict=True)
        if a[4]
    ]
    radii = [chord * (1 + bulge * bulge) / (4 * abs(bulge)) for chord, bulge in bends]
    assert radii == pytest.approx([18.0] * len(radii))
    assert sum(4 * math.atan(bulge) for _, bulge in bends) == pytest.approx(math.pi)
    polygon = _polygon(plate)
    assert polygon.area == pytest.approx(math.pi * 18**2 / 2 + 36 * 50 / 25.4, rel=1e-5)
    x0, y0, x1, y1 = polygon.bounds
    assert (x0, y0, x1, y1) == pytest.approx((0, -50 / 25.4, 36, 18), abs=1e-4)


def test_the_router_gets_its_own_version_units_and_layers(changed: Callable[..., Form]) -> None:
    router = "router: {dxf_version: R12, units: mm, layers: {outside_profile: CUT}}"
    document = _read(gauge_dxf(changed("porch-door-jamb", shop=(("altitude:", f"{router}\naltitude:"),))))
    assert document.dxfversion == "AC1009"
    (plate,) = document.modelspace().query('POLYLINE[layer=="CUT"]')
    assert plate.is_closed
    xs = [v.dxf.location.x for v in plate.vertices]
    assert (min(xs), max(xs)) == pytest.approx((0, 914.4))
    assert any("drawing units: mm" in e.dxf.text for e in document.modelspace().query("TEXT"))


def test_every_plate_fits_its_part(shipped: Form) -> None:
    found = ordinates(shipped.arch)
    plate = gauge_plate(found)
    document = _read(gauge_dxf(shipped))
    mm = 25.4 if document.header["$INSUNITS"] == 1 else 1.0
    (edge,) = [e for e in document.modelspace() if e.dxf.layer == "OUTSIDE PROFILE"]
    polygon = shapely.affinity.scale(_polygon(edge), mm, mm, origin=(0, 0))
    assert polygon.is_valid
    part = shapely.Polygon([*_points(shipped, "inside"), *_points(shipped, "outside")[::-1]])
    # the plate lies against the part: it touches the face and takes no more than a sliver of it
    face = shapely.LineString(_points(shipped, plate.face))
    assert polygon.intersection(part).area < 0.02 * face.length
    along = [face.interpolate(share, normalized=True) for share in (0.3, 0.5, 0.7)]
    assert max(polygon.exterior.distance(p) for p in along) < 0.02
    # its ticks begin on the face at their stations, its letters stay on it, and its back is straight
    ticks = [e for e in document.modelspace().query("LINE") if abs(e.dxf.start.x - e.dxf.end.x) < 1e-9]
    rows = {round(r.from_a_mm, 3) for r in found.rows}
    assert len(ticks) == len(plate.ticks) > 3
    for tick in ticks:
        assert round(tick.dxf.start.x * mm, 3) in rows
        assert face.distance(shapely.Point(tick.dxf.start.x * mm, tick.dxf.start.y * mm)) < 0.01
    grown = polygon.buffer(0.01)
    for label in document.modelspace().query('LWPOLYLINE[layer=="LABELS"]'):
        assert all(grown.covers(shapely.Point(x * mm, y * mm)) for x, y, *_ in label.get_points())
    assert plate.straight_back
    level = [v[1] for v in plate.outline.vertices].count(plate.back_mm)
    assert level == 2 or plate.back_mm == pytest.approx(plate.outline.bounds[1], abs=1e-6)


def _read(content: bytes) -> Any:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def _polygon(entity: Any) -> Any:
    """The closed polyline with each arc in 400 chords, from the centre and radius that the DXF library finds."""
    ring = entity.get_points("xyb")
    points: list[tuple[float, float]] = []
    for (ax, ay, bulge), (bx, by, _) in zip(ring, [*ring[1:], ring[0]], strict=True):
        points.append((ax, ay))
        if bulge:
            centre = bulge_center((ax, ay), (bx, by), bulge)
            radius, sweep = math.dist((ax, ay), centre), 4 * math.atan(bulge)
            begin = math.atan2(ay - centre.y, ax - centre.x)
            angles = [begin + sweep * i / 400 for i in range(1, 400)]
            points += [(centre.x + radius * math.cos(a), centre.y + radius * math.sin(a)) for a in angles]
    return shapely.Polygon(points)


@pytest.mark.parametrize("what", ["gauge.page.gauge_page", "gauge.plate.gauge_dxf"])
def test_the_same_bytes_in_every_process(tmp_path: Path, what: str) -> None:
    module, name = what.rsplit(".", 1)
    program = (
        "import sys; from pathlib import Path; from formgen.recipe.load import load_recipe;"
        f"from formgen.pipeline import run; from formgen.reports.{module} import {name};"
        f"Path(sys.argv[2]).write_bytes({name}(run(load_recipe(Path(sys.argv[1])))))"
    )
    made = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": f"Etc/GMT+{seed}"}
        recipe, page = str(ROOT / "recipes" / "clock-surround.yaml"), tmp_path / seed
        subprocess.run([sys.executable, "-c", program, recipe, str(page)], check=True, env=environment, cwd=tmp_path)
        made.append(page.read_bytes())
    assert made[0] == made[1]
