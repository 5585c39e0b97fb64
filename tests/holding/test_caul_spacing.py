"""Clamps through a caul: gaps between clamps and at the ends, pressure short of what the glue asks for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from formgen.findings import Finding
from formgen.form.model import Form
from formgen.geometry.arcspline import same_place
from formgen.holding.clamps import caul_findings, widest_mm
from formgen.press.caul import caul_pressure

Made = Callable[..., Form]


def found(form: Form, stations: Sequence[float], way: str = "clamped", asked_mpa: float = 0.7) -> dict[str, Finding]:
    glue = replace(form.pressing.glue, asked_least_mpa=asked_mpa, adhesive="own")
    recipe = form.recipe
    caul = caul_pressure(36.0, recipe.part.depth_mm, None, recipe.shop) if way == "clamped" else None
    pressing = replace(form.pressing, way=way, glue=glue, caul=caul)  # type: ignore[arg-type]
    return {finding.code: finding for finding in caul_findings(pressing, stations)}


def on_centre_line(form: Form, on_face_mm: Sequence[float]) -> list[float]:
    """Stations on the pressed centre line square across from stations on the form face."""
    return [same_place(form.pressing.face, form.laminate.pressed, s) for s in on_face_mm]


def test_the_widest_gap_counts_the_ends_twice() -> None:
    """An end has a clamp on one side only: it is pressed as far as half a spacing reaches."""
    assert widest_mm([50.0, 150.0, 250.0], 300.0) == 100.0
    assert widest_mm([50.0, 170.0, 250.0], 300.0) == 120.0
    assert widest_mm([80.0, 150.0, 250.0], 300.0) == 160.0
    assert widest_mm([], 300.0) == 600.0


def test_reliefs_200_apart_are_too_far_for_a_caul_of_36(made: Made) -> None:
    """A jaw of 45 over a caul of 36 presses 117 mm (common practice, no source)."""
    form = made("reading-room-head")
    findings = found(form, form.relief_stations_mm)
    assert findings["press.caul-spacing"].limit == pytest.approx(117.0)
    # even steps along the face, from the clamp at one trim line to that at the other
    assert findings["press.caul-spacing"].value == pytest.approx(
        form.pressing.face.length_mm / (len(form.relief_stations_mm) - 1), rel=1e-6
    )
    assert "the rest of the glue line gets nothing" in findings["press.caul-spacing"].message


def test_close_enough_and_strong_enough_says_nothing(made: Made) -> None:
    form = made("reading-room-head")
    length, count = form.laminate.pressed.length_mm, 40
    close = [length * (i + 0.5) / count for i in range(count)]
    assert found(form, close, asked_mpa=0.05) == {}


def test_pressure_short_of_the_glues_is_a_warning(made: Made) -> None:
    """Force over area: clamps of 2 kN, as many across as the depth asks for, 34 mm apart."""
    form = made("reading-room-head")
    part, length, count = form.recipe.part, form.pressing.face.length_mm, 40
    depth = part.depth_mm + 2 * part.edge_trim_mm
    on_face = [length * (i + 0.5) / count for i in range(count)]
    close = on_centre_line(form, on_face)
    across = -(-depth // 117.0)
    finding = found(form, close, asked_mpa=2.0)["press.caul-pressure"]
    assert finding.value == pytest.approx(across * 2000.0 / (length / count * depth) * 1000.0)
    assert finding.limit == 2000.0


def test_reliefs_are_spaced_along_the_face_not_along_the_centre_line(made: Made) -> None:
    """116.9 mm on a face of R 450 are 120 on the centre line of R 463 (geometry), and the caul of 117 still covers."""
    form = made("porch-door-jamb")
    face = form.pressing.face
    on_face = [i * 116.9 for i in range(1, int(face.length_mm / 116.9))]
    ends = [58.0, face.length_mm - 58.0]
    stations = on_centre_line(form, sorted([*on_face, *ends]))
    centre = form.laminate.pressed.length_mm
    assert widest_mm(stations, centre) > 117.0
    assert "press.caul-spacing" not in found(form, stations)


@pytest.mark.parametrize("way", ["part-bagged", "form-bagged"])
def test_other_ways_have_no_caul(made: Made, way: str) -> None:
    form = made("reading-room-head")
    assert found(form, form.relief_stations_mm, way) == {}
