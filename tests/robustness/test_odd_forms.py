"""Jobs that a shop may well ask for, once refused late or built wrong: each builds, or is refused by the stages.

A refusal names a key and a value; the cures are tried here.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from formgen.errors import FormgenError
from formgen.findings import Severity
from formgen.holding.model import Holding
from formgen.outputs.folder.write import write_all
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from tests.robustness.asking import flow, put, written

BAND = {"body": "band", "backing": 130}


def semicircle(span: float) -> dict[str, Any]:
    return {"kind": "semicircle", "span": span}


def recipe(
    arch: dict[str, Any], depth: float, plies: tuple[float, int], side: str, form: dict[str, Any], **part: Any
) -> dict[str, Any]:
    """A part of white oak, mm."""
    return {
        "format": 1,
        "name": "odd",
        "units": "mm",
        "part": {"arch": arch, "measured_on": "inside", "depth": depth, **part},
        "laminate": {"wood": "white oak", "thickness": plies[0], "plies": plies[1], "adhesive": "epoxy"},
        "press": {"side": side},
        "form": form,
    }


def made(folder: Path, asked: object, shop: dict[str, Any] | None = None) -> Holding:
    written(folder, flow({"format": 1, "name": "own", "units": "mm", **(shop or {})}), "shop.yaml")
    return run(load_recipe(written(folder, flow(asked))))


def built(folder: Path, asked: object, shop: dict[str, Any] | None = None) -> Holding:
    form = made(folder, asked, shop)
    write_all(form, folder / "output")
    return form


LEGS_CROSS = recipe(semicircle(400), 30, (16, 4), "male", BAND, legs=600)
WIDE_BAND = recipe(semicircle(400), 60, (9, 6), "male", {"body": "band", "backing": 220})


@pytest.mark.parametrize(("asked", "most"), [(LEGS_CROSS, "118.0 mm"), (WIDE_BAND, "193.0 mm")])
def test_a_band_too_wide_says_the_widest_that_goes(tmp_path: Path, asked: dict[str, Any], most: str) -> None:
    """Legs of the form that would run through each other, and a back that would pass the centre of the curve."""
    with pytest.raises(FormgenError, match=f"form.backing = .* expected at most {most}"):
        made(tmp_path, asked)
    built(tmp_path, put(asked, ("form", "backing"), most))


@pytest.mark.parametrize(
    ("span", "legs", "form"),
    [(300, 800, {"body": "band", "backing": 110}), (400, 900, {"body": "band", "backing": 110, "least_pieces": 3})],
)
def test_a_part_that_closes_up_until_it_crosses_is_refused(
    tmp_path: Path, span: float, legs: float, form: dict[str, Any]
) -> None:
    """Three plies spring back by a ninth: pressed, each leg leans in by 90°/8, and long ones meet."""
    with pytest.raises(FormgenError, match=r"part\.legs, .* in the press the part closes up until"):
        made(tmp_path, recipe(semicircle(span), 30, (9, 3), "female", form, legs=legs))
    built(tmp_path, recipe(semicircle(span), 30, (9, 3), "female", form, legs=legs / 4))


def test_an_end_that_springs_without_a_leg_is_marked_once(tmp_path: Path) -> None:
    form = built(tmp_path, recipe({"kind": "ellipse", "span": 762, "rise": 251}, 100, (25, 8), "male", {}))
    marks = [mark.kind for mark in form.layers[0].pieces[0].marks]
    assert marks.count("trim line") == 2
    assert "springing line" not in marks


def test_a_bar_on_the_springing_lines_is_no_fault_of_a_file(tmp_path: Path) -> None:
    asked = recipe(semicircle(900), 60, (18, 6), "male", {**BAND, "spreader_bar": {"height": 0}}, legs=200)
    built(tmp_path, put(asked, ("laminate", "relaxation"), 0))


@pytest.mark.parametrize(
    ("arch", "side", "form"),
    [
        ({"kind": "segmental", "span": 4500, "rise": 270}, "male", BAND),
        ({"kind": "segmental", "span": 3200, "rise": 20}, "female", {"backing": 63}),
    ],
)
def test_large_forms_find_room_for_their_dowels(
    tmp_path: Path, arch: dict[str, Any], side: str, form: dict[str, Any]
) -> None:
    found = built(tmp_path, recipe(arch, 45, (18, 6), side, form))
    assert all(len(piece.holes) >= 2 for _, piece in found.pieces)


@pytest.mark.parametrize("radius", [250.0, 887.0, 3000.0])
@pytest.mark.parametrize("side", ["male", "female"])
def test_the_default_backing_holds_the_default_reliefs(tmp_path: Path, radius: float, side: str) -> None:
    arch = {"kind": "segmental", "radius": radius, "sweep": "60 deg"}
    form = made(tmp_path, recipe(arch, 60, (9, 6), side, {"body": "band"}))
    assert form.relief_stations_mm
    assert not {"form.relief-none", "form.relief-dropped"} & {f.code for f in form.all_findings}


def test_where_no_relief_has_room_it_says_so_on_a_short_part_too(tmp_path: Path) -> None:
    arch = {"kind": "chain", "pieces": [{"length": 85.9, "radius": 887}]}
    form = made(tmp_path, recipe(arch, 60, (9, 6), "male", {"body": "band", "backing": 70}))
    (finding,) = [f for f in form.all_findings if f.code == "form.relief-none"]
    assert finding.severity is Severity.WARNING


def test_a_bar_by_its_height_says_what_it_takes_away(tmp_path: Path) -> None:
    """At the springing line of legs of 800 mm it takes the face of the whole leg in the layers that end above it."""
    form = made(
        tmp_path, recipe(semicircle(1000), 90, (18, 6), "male", {**BAND, "spreader_bar": {"height": 0}}, legs=800)
    )
    (finding,) = [f for f in form.all_findings if f.code == "form.bar-face"]
    assert finding.value == 1.0
    assert finding.severity is Severity.WARNING


def test_a_bar_past_the_end_of_the_legs_is_refused_with_the_lowest(tmp_path: Path) -> None:
    low = recipe(semicircle(1000), 90, (18, 6), "male", {**BAND, "spreader_bar": {"height": "-199 mm"}}, legs=200)
    with pytest.raises(FormgenError, match=r"hangs past the ends of the part, expected -182\.3 mm or higher"):
        made(tmp_path, low)
    built(tmp_path, put(low, ("form", "spreader_bar", "height"), "-182 mm"))


@pytest.mark.parametrize("height", [5, 10, 20])
def test_large_letters_shrink_as_small_ones_do(tmp_path: Path, height: int) -> None:
    asked = recipe(semicircle(900), 60, (18, 6), "male", BAND, legs=200)
    form = made(tmp_path, asked, {"router": {"label_height": height}})
    assert min(label.height_mm for _, piece in form.pieces for label in piece.labels) >= 2.5 * 0.5


def test_letters_find_room_between_slots_and_a_channel(tmp_path: Path) -> None:
    form = {"body": "band", "backing": 114, "clamp_reliefs": {"shape": "slot"}, "channel": {"depth": 11}}
    built(tmp_path, recipe({"kind": "ellipse", "span": 450, "rise": 207}, 80, (16, 6), "male", form))


def test_upright_joints_leave_no_splinters(tmp_path: Path) -> None:
    arch = {"kind": "ellipse", "span": 350, "rise": 125}
    form = built(tmp_path, recipe(arch, 60, (8, 8), "female", {"least_pieces": 4}))
    for _, piece in form.pieces:
        x0, y0, x1, y1 = piece.outline.bounds
        assert min(x1 - x0, y1 - y0) > 30.0


@pytest.mark.parametrize("span", [200, 250])
def test_a_flat_arc_of_thick_plies_is_no_reason_to_refuse(tmp_path: Path, span: float) -> None:
    """Off the form a tie across its ends passes outside of most of the curve: no shape at rest is found."""
    flat = recipe({"kind": "segmental", "span": span, "rise": 20}, 60, (18, 6), "female", {})
    form = made(tmp_path, flat)
    assert form.off is None
    assert any(f.code == "press.stay-on-form" and "no shape was found" in f.message for f in form.holding_findings)
