"""A layer's drawing with one number changed: the read-back says which shape is off, and how.

The numbers are changed in the file's own text (group codes as in Autodesk's DXF Reference), not by the program.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from formgen.form.model import Form
from formgen.outputs.dxf.check import check_layer
from formgen.outputs.dxf.layers import write_layer

#: Group codes of a polyline's bulge, and of an x, a y and a radius.
BULGE, X, Y, RADIUS = 42, 10, 20, 40


def numbers(path: Path, kind: str, code: int) -> list[int]:
    """Lines that hold the number of that group code in the entities of a kind, from the top."""
    lines = path.read_text(encoding="utf-8").splitlines()
    found, entity, inside = [], "", False
    for i in range(0, len(lines) - 1, 2):
        if lines[i].strip() == "0":
            entity = lines[i + 1]
        inside = inside or lines[i + 1] == "ENTITIES"
        if inside and entity == kind and lines[i].strip() == str(code):
            found.append(i + 1)
    return found


def changed(path: Path, line: int, change: Callable[[float], float]) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    lines[line] = repr(change(float(lines[line])))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.fixture
def drawn(tmp_path: Path, band: Form) -> Path:
    path = tmp_path / "layer-01.dxf"
    write_layer(band, band.layers[0], path)
    assert list(check_layer(path, band, band.layers[0])) == []
    return path


@pytest.mark.parametrize(
    ("kind", "code", "change", "says"),
    [
        ("LWPOLYLINE", BULGE, lambda b: b * (1.0 + 1e-4), "an arc bends otherwise"),
        ("LWPOLYLINE", BULGE, lambda b: -b, "an arc bends otherwise"),
        ("LWPOLYLINE", BULGE, lambda _: 0.0, "an arc bends otherwise"),
        ("LWPOLYLINE", X, lambda x: x + 1e-5, "a corner is 0.000010 mm off"),
        ("LWPOLYLINE", Y, lambda y: y - 0.5, "a corner is 0.500000 mm off"),
        ("CIRCLE", RADIUS, lambda r: r + 0.0005, "diameter 10.001 mm, expected 10.000"),
        ("CIRCLE", X, lambda x: x + 0.25, "its centre is 0.250 mm off"),
    ],
)
def test_every_number_of_every_shape_is_looked_at(
    drawn: Path, band: Form, kind: str, code: int, change: Callable[[float], float], says: str
) -> None:
    """One at a time, each line of the file that holds such a number."""
    whole = drawn.read_text(encoding="utf-8")
    places = numbers(drawn, kind, code)
    assert places
    for line in places:
        before = whole.splitlines()[line]
        drawn.write_text(whole, encoding="utf-8")
        changed(drawn, line, change)
        assert any(says in told for told in check_layer(drawn, band, band.layers[0])), (line, before)
