"""Sheets on disk, read back by other readers; changes are told; the hand-over copies whole or not at all."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
from collections import Counter
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
import shapely
from pyogrio.raw import read

from formgen.errors import ExportError, SheetError, VerifyError
from formgen.geometry.outline import Outline
from formgen.outputs.dxf.layers import COLOURS
from formgen.outputs.record.job import fingerprint
from formgen.outputs.sheets.folder import SHEET_LETTERS, verify_sheets, write_sheets
from formgen.outputs.sheets.map import map_table
from formgen.outputs.sheets.names import all_sheet_files
from formgen.sheets.layout import sheet_parts
from tests.outputs.laid import Laid, contents
from tests.sheets.shapes import RULES, parts_of_outlines, ring, stock_of_size

#: GDAL turns arcs into chords of at most 4 degrees (OGR_ARC_STEPSIZE's default), a sagitta of R(1 - cos 2°).
CHORD_SHARE = 1 - math.cos(math.radians(2))


def outlines_by_gdal(path: Path, layer: str) -> list[shapely.Geometry]:
    """Geometry on a drawing layer as GDAL reads it: its own reader of DXF, arcs as chords of 4 degrees."""
    meta, _, geometry, fields = read(path)
    names = fields[list(meta["fields"]).index("Layer")]
    return [shapely.from_wkb(g) for g, name in zip(geometry, names, strict=True) if name == layer]


def test_every_piece_is_in_the_drawings_where_the_map_says(laid: Laid) -> None:
    out, _form, sheets = laid
    rows = list(csv.DictReader(io.StringIO((out / "sheets/sheet-map.csv").read_text("utf-8-sig"), newline="")))
    assert len(rows) == len(sheets.parts)
    for sheet in sheets.sheets:
        drawn = outlines_by_gdal(out / f"sheets/sheet-{sheet.number:02d}.dxf", "OUTSIDE PROFILE")
        assert len(drawn) == len(sheet.placements)
        held = [row for row in rows if int(row["sheet"]) == sheet.number]
        boxes = {(round(float(r["left edge mm"])), round(float(r["lower edge mm"]))): r for r in held}
        assert len(boxes) == len(held)
        for shape in drawn:
            x0, y0, x1, y1 = shape.bounds
            row = min(held, key=lambda r: abs(float(r["left edge mm"]) - x0) + abs(float(r["lower edge mm"]) - y0))
            slack = 0.06 + CHORD_SHARE * 700  # of the radius of this arch and its band, in mm
            assert (x0, y0) == pytest.approx((float(row["left edge mm"]), float(row["lower edge mm"])), abs=slack)
            assert (x1 - x0, y1 - y0) == pytest.approx((float(row["length mm"]), float(row["width mm"])), abs=2 * slack)
            assert x0 >= 0
            assert y0 >= 0
            assert x1 <= float(row["sheet length mm"])
            assert y1 <= float(row["sheet width mm"])


def test_areas_by_gdal_add_up_to_the_forms_board(laid: Laid) -> None:
    out, form, sheets = laid
    drawn = [
        shapely.Polygon(shape.coords).area
        for sheet in sheets.sheets
        for shape in outlines_by_gdal(out / f"sheets/sheet-{sheet.number:02d}.dxf", "OUTSIDE PROFILE")
    ]
    assert sum(drawn) * 1e-6 == pytest.approx(form.weights.board_m2, rel=2e-3)  # chords of 4 degrees
    assert sum(sheet.usage * sheet.stock.area_mm2 for sheet in sheets.sheets) == pytest.approx(sum(drawn), rel=2e-3)


def test_the_map_tells_form_layer_and_opening_and_runs_nothing(laid: Laid) -> None:
    out, form, sheets = laid
    rows = list(csv.DictReader(io.StringIO((out / "sheets/sheet-map.csv").read_text("utf-8-sig"), newline="")))
    assert Counter((r["form"], r["piece"], int(r["layer"])) for r in rows) == Counter(
        ("niche", piece.name, layer.number) for layer, piece in form.pieces
    )
    assert {r["openings"] for r in rows} == {"N-1 =N-2"}
    marked = [replace(part, openings=("=1+1",)) for part in sheets.parts[:1]]
    on = replace(sheets.sheets[0].placements[0], part=marked[0])
    table = map_table(replace(sheets, sheets=(replace(sheets.sheets[0], placements=(on,)),))).decode("utf-8-sig")
    assert next(csv.DictReader(io.StringIO(table, newline="")))["openings"] == "'=1+1"
    record = json.loads((out / "sheets/sheet-map.json").read_text(encoding="utf-8"))
    assert record["asked"]["forms"] == {"niche": ["N-1", "=N-2"]}
    assert sum(len(sheet["pieces"]) for sheet in record["found"]["sheets"]) == len(rows)
    for name, held in record["files"].items():
        content = (out / "sheets" / name).read_bytes()
        assert held == {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
    assert set(record["files"]) == set(all_sheet_files(sheets))


def test_the_drawing_names_its_pieces_in_letters_that_can_be_read_with_the_whole_sheet_in_view(laid: Laid) -> None:
    """Notes as GDAL reads them: below the sheet, each line 1/100 of its length high or higher, in one unit."""
    out, _form, sheets = laid
    for sheet in sheets.sheets:
        meta, _, geometry, fields = read(out / f"sheets/sheet-{sheet.number:02d}.dxf")
        names = list(meta["fields"])
        texts, layers = fields[names.index("Text")], fields[names.index("Layer")]
        notes = [
            (text, shapely.from_wkb(at))
            for text, layer, at in zip(texts, layers, geometry, strict=True)
            if layer == "SHEET NOTES" and text and not text.isdigit()  # which stand on the pieces
        ]
        said = " ".join(text for text, _ in notes)
        assert all(f"{i}: {p.part.name}" in said for i, p in enumerate(sheet.placements, 1))
        assert " in " not in said.replace("drawing units", "")
        assert all(at.y < 0 for _, at in notes)
    document = ezdxf.readfile(out / "sheets/sheet-01.dxf")
    listed = [entity for entity in document.modelspace().query("TEXT") if not entity.dxf.text.isdigit()]
    heights = {entity.dxf.height for entity in listed}
    assert heights == {sheets.sheets[0].stock.length_mm / SHEET_LETTERS}


@pytest.mark.parametrize("purpose", ["sheet_notes", "marks"])
def test_what_is_read_in_a_drawing_can_be_seen_on_white_and_on_black(purpose: str) -> None:
    """Contrast of 3 : 1 at least (WCAG 2.2, 1.4.11), colours as the library's table of index colours says."""

    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = map(linear, ezdxf.colors.aci2rgb(COLOURS[purpose]))
    light = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    assert 1.05 / (light + 0.05) >= 3.0
    assert (light + 0.05) / 0.05 >= 3.0


def test_what_was_written_passes_and_the_same_layout_gives_the_same_bytes(laid: Laid, tmp_path: Path) -> None:
    out, form, sheets = laid
    assert verify_sheets(out / "sheets", [form]) == []
    write_sheets(sheets, tmp_path)
    assert contents(tmp_path / "sheets") == contents(out / "sheets")


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("sheet-01.dxf", b"niche", b"nicht", "sheet-01.dxf: was changed"),
        ("sheet-map.csv", b"niche", b"nicht", "sheet-map.csv: is not what the layout says"),
        ("sheet-map.json", b'"turned_deg": ', b'"turned_deg": 4', "sheet-map.json: sheet 1: niche"),
    ],
)
def test_what_was_changed_is_told(laid: Laid, copy: Path, name: str, old: bytes, new: bytes, says: str) -> None:
    path = copy / "sheets" / name
    held = path.read_bytes()
    assert old in held
    path.write_bytes(held.replace(old, new))
    assert any(line.startswith(says) for line in verify_sheets(copy / "sheets", [laid[1]]))


def test_missing_and_foreign_files_are_told(laid: Laid, copy: Path) -> None:
    (copy / "sheets/sheet-01.dxf").unlink()
    (copy / "sheets/notes.txt").write_text("mine", encoding="utf-8")
    lines = verify_sheets(copy / "sheets", [laid[1]])
    assert "sheet-01.dxf: is missing: lay out the sheets again" in lines
    assert "notes.txt: was not written by this build: move it elsewhere" in lines
    with pytest.raises(ExportError, match=r"notes\.txt, which formgen did not write"):
        write_sheets(laid[2], copy)
    assert (copy / "sheets/notes.txt").read_text(encoding="utf-8") == "mine"


def test_a_layout_that_breaks_its_rules_is_not_written(laid: Laid, tmp_path: Path) -> None:
    sheets = laid[2]
    first = sheets.sheets[0]
    near = replace(first.placements[0], dx_mm=first.placements[0].dx_mm - 50.0)
    bad = replace(sheets, sheets=(replace(first, placements=(near, *first.placements[1:])), *sheets.sheets[1:]))
    with pytest.raises(VerifyError):
        write_sheets(bad, tmp_path)
    assert not (tmp_path / "sheets").exists()


def test_pieces_without_stock_are_refused(tmp_path: Path) -> None:
    parts = parts_of_outlines([ring(500, 90, 0.6)] * 30)
    sheets = sheet_parts(parts, [stock_of_size(1000, 500, quantity=1)], RULES, "preview", engine="quick")
    with pytest.raises(SheetError, match=r"no stock left for \d+ pieces \(form-"):
        write_sheets(sheets, tmp_path)


def test_sheets_of_other_versions_are_handed_over_if_they_are_what_these_write(laid: Laid, copy: Path) -> None:
    path = copy / "sheets/sheet-map.json"
    record = json.loads(path.read_text(encoding="utf-8"))
    record["versions"]["ezdxf"] = "1.3.0"
    path.write_text(json.dumps(record), encoding="utf-8")
    assert verify_sheets(copy / "sheets", [laid[1]]) == []
    drawing = copy / "sheets/sheet-01.dxf"
    drawing.write_bytes(drawing.read_bytes().replace(b"$LUPREC\n 70\n4", b"$LUPREC\n 70\n5"))
    record["files"]["sheet-01.dxf"] = fingerprint(drawing)
    path.write_text(json.dumps(record), encoding="utf-8")
    says = "sheet-01.dxf: is not what this formgen writes of the layout: lay out the sheets again"
    assert verify_sheets(copy / "sheets", [laid[1]]) == [says]


def test_outlines_on_the_sheet_are_turned_pieces_of_the_form(laid: Laid) -> None:
    """Area and edge length of every placed outline are those of the piece in the stack: moved, never scaled."""
    for sheet in laid[2].sheets:
        for p in sheet.placements:
            mine: Outline = p.outline
            assert mine.area_mm2 == pytest.approx(p.part.piece.outline.area_mm2, rel=1e-12)
            assert mine.length_mm == pytest.approx(p.part.piece.outline.length_mm, rel=1e-12)


def test_every_piece_bears_its_number_of_the_list_upright_and_inside(laid: Laid) -> None:
    """Engraved labels turn with the piece; who reads the sheet finds each piece by its number in the list below."""
    out, _form, sheets = laid
    for sheet in sheets.sheets:
        texts = ezdxf.readfile(out / f"sheets/sheet-{sheet.number:02d}.dxf").modelspace().query("TEXT")
        numbers = {text.dxf.text: text for text in texts if text.dxf.text.isdigit()}
        assert sorted(map(int, numbers)) == list(range(1, len(sheet.placements) + 1))
        listed = {text.dxf.text.partition(":")[0]: text.dxf.text for text in texts if ": " in text.dxf.text}
        for i, placement in enumerate(sheet.placements, 1):
            text = numbers[str(i)]
            assert placement.part.name in listed[str(i)]
            assert text.dxf.rotation == 0.0
            assert text.dxf.layer == "SHEET NOTES"
            x, y, high = text.dxf.insert.x, text.dxf.insert.y, text.dxf.height
            ring = shapely.Polygon(placement.outline.flattened(0.05))
            cut = [shapely.Point(*h.centre).buffer(h.diameter_mm / 2) for h in placement.piece.holes]
            middle = shapely.Point(x + 0.4 * high * len(str(i)), y + 0.5 * high)
            assert ring.contains(middle.buffer(0.5 * high))
            assert not any(hole.contains(middle) for hole in cut)
