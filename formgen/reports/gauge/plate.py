"""Stage `reports`: `gauge.dxf`, the gauge plate for the router: its edge, ticks with their stations, and a label.

In: a Form. Out: the file's bytes, in the router's units and on the router's drawing layers; arcs stay arcs.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from pathlib import Path

from formgen.curve.gauge_plate import GaugePlate, gauge_plate
from formgen.curve.ordinates import Ordinates, ordinates
from formgen.form.marking.lettering import strokes_of, text_width
from formgen.geometry.outline import Point
from formgen.holding.do_not_press import mark_lines
from formgen.holding.model import Holding
from formgen.lengths import Units, write_length
from formgen.outputs.dxf.layers import colours, drawing_units, layer_names, write_notes
from formgen.outputs.dxf.pen import Pen, drawing
from formgen.verdict import MARK

#: Letters of a station, and of the plate's label (mm); they shrink where there is less room.
STATION_MM, LABEL_MM = 5.0, 7.0
#: Clear of a tick, and from line to line of the label, in letter heights.
CLEAR, PITCH = 0.6, 1.7


def gauge_dxf(form: Holding) -> bytes:
    """The file."""
    recipe = form.recipe
    router, units = recipe.shop.router, drawing_units(form)
    names = layer_names(router, units, ())
    found = ordinates(form.arch)
    plate = gauge_plate(found)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "gauge.dxf"
        with drawing(path, router.dxf_version, units, colours(names)) as pen:
            pen.closed(plate.outline, names.outside_profile)
            for tick in plate.ticks:
                pen.line(tick.start, tick.end, names.marks)
            letters = (*_stations(found, plate, recipe.units), *_label(form, plate))
            if all(y > 1.0 or y + height < -1.0 for _, (_, y), height in letters):
                _base_line(pen, found, plate, names.marks)
            for text, origin, height in letters:
                pen.lettering(text, strokes_of(text, origin, height), names.labels)
            x0, y0, _, _ = plate.outline.bounds
            write_notes(pen, tuple(_notes(form, plate, units)), (x0, y0), router.label_height_mm, names.sheet_notes)
        return path.read_bytes()


def _base_line(pen: Pen, found: Ordinates, plate: GaugePlate, layer: str) -> None:
    """The base line where it crosses the plate between A and B."""
    for begin, end in plate.outline.chords((0.0, 0.0), 1.0, 0.0):
        low, high = max(begin, 0.0), min(end, found.span_mm)
        if high - low > 1.0:
            pen.line((low, 0.0), (high, 0.0), layer)


def _stations(found: Ordinates, plate: GaugePlate, units: Units) -> Iterable[tuple[str, Point, float]]:
    """Each tick's distance from A, behind its end."""
    height = min(STATION_MM, 0.28 * found.step_mm)
    for tick in plate.ticks:
        text = write_length(tick.from_a_mm, units).removesuffix(f" {units}")
        text = text.removesuffix(".0")
        x = tick.end[0] - text_width(text, height) / 2.0
        down = tick.end[1] < tick.start[1]
        y = tick.end[1] - (1.0 + CLEAR) * height if down else tick.end[1] + CLEAR * height
        yield text, (x, y), height


def _label(form: Holding, plate: GaugePlate) -> Iterable[tuple[str, Point, float]]:
    """Name and face along the back, A's end at the left; inside the strip that lies behind the face."""
    name = form.recipe.name.upper()
    mark = "" if form.verdict.may else f"{MARK}   "
    text = f"A   {mark}{name}   {plate.face.upper()} FACE   B"
    x0, _, x1, _ = plate.outline.bounds
    height = min(LABEL_MM, 0.8 * LABEL_MM * (x1 - x0) / text_width(text, LABEL_MM))
    up = plate.face == "outside"
    y = plate.back_mm - (1.0 + CLEAR) * height if up else plate.back_mm + CLEAR * height
    chord = max(plate.outline.chords((x0, y + height / 2.0), 1.0, 0.0), key=lambda c: c[1] - c[0], default=(0.0, 0.0))
    middle = x0 + (chord[0] + chord[1]) / 2.0
    room = 0.9 * (chord[1] - chord[0])
    if room <= 0.0:
        return
    height = min(height, height * room / text_width(text, height))
    yield text, (middle - text_width(text, height) / 2.0, y), height


def _notes(form: Holding, plate: GaugePlate, units: Units) -> Iterable[str]:
    recipe = form.recipe
    x0, y0, x1, y1 = plate.outline.bounds
    yield from mark_lines(form)
    yield f"{recipe.name}: gauge for the {plate.face} face of the finished part"
    yield "cut from hardboard or thin board; lay it on the part face up, A at the left: no light must show"
    yield f"drawing units: {'inches' if units == 'in' else 'mm'}"
    long, short = sorted((x1 - x0, y1 - y0), reverse=True)
    sheet = sorted((recipe.sheet.length_mm, recipe.sheet.width_mm), reverse=True)
    if long > sheet[0] or short > sheet[1]:
        yield "larger than the form's sheet: cut it in parts between two ticks, and join them on a straight batten"
    if not plate.straight_back:
        yield "the part hooks round its own end: this gauge is a band without a straight back"
