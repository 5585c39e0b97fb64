"""Sheets on disk, read back by other readers; changes are told; the hand-over copies whole or not at all."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import os
import re
from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import shapely
from click.testing import CliRunner
from pyogrio.raw import read

from formgen.cli import main
from formgen.curve.outline import Outline
from formgen.errors import ExportError, SheetError, VerifyError
from formgen.exports import exclusive, handoff
from formgen.exports.folder import write_all
from formgen.exports.handoff import CUT_LIST_FILE, send
from formgen.exports.job import fingerprint
from formgen.exports.sheet_folder import verify_sheets, write_sheets
from formgen.exports.sheet_map import map_table
from formgen.exports.sheet_names import all_sheet_files
from formgen.form.model import Form
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.sheets.layout import sheet_forms, sheet_parts
from formgen.sheets.model import Sheets
from tests.sheets.shapes import RULES, parts_of_outlines, ring, stock_of_size

RECIPE = """\
format: 1
name: niche
units: mm
part: {arch: {kind: semicircle, span: 900}, measured_on: inside, depth: 60}
laminate: {wood: white ash, thickness: 18, plies: 6}
press: {side: male}
form: {sheet: mdf, body: band, backing: 90, least_pieces: 3}
"""
SHOP = """\
format: 1
name: shop
units: mm
sheets: {mdf: {thickness: 18.1, length: 1200, width: 600}}
"""
Laid = tuple[Path, Form, Sheets]
#: GDAL turns arcs into chords of at most 4 degrees (OGR_ARC_STEPSIZE's default), a sagitta of R(1 - cos 2°).
CHORD_SHARE = 1 - math.cos(math.radians(2))


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Laid:
    """A form of bands in three pieces a layer, and its sheets, in a folder of results."""
    folder = tmp_path_factory.mktemp("results")
    (folder / "niche.yaml").write_text(RECIPE, encoding="utf-8")
    (folder / "shop.yaml").write_text(SHOP, encoding="utf-8")
    form = run(load_recipe(folder / "niche.yaml"))
    write_all(form, folder / "out")
    shop = form.pressing.laminate.arch.recipe.shop
    sheets = sheet_forms([form], shop, "preview", engine="quick", openings={"niche": ("N-1", "=N-2")})
    write_sheets(sheets, folder / "out")
    return folder / "out", form, sheets


@pytest.fixture
def copy(laid: Laid, tmp_path: Path) -> Path:
    """A copy of the folder of results to spoil."""
    for path in laid[0].rglob("*"):
        if path.is_file():
            target = tmp_path / "out" / path.relative_to(laid[0])
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    return tmp_path / "out"


def contents(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.iterdir())}


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


def test_the_picture_shows_every_piece_with_its_number_clear_of_its_edge(laid: Laid) -> None:
    sheets = laid[2]
    root = ET.fromstring((laid[0] / "sheets/sheet-map.svg").read_text(encoding="utf-8"))  # noqa: S314 -- our own file
    faces = [e for e in root.iter() if e.get("fill-rule") == "evenodd"]
    texts = [e for e in root.iter() if e.tag.endswith("text")]
    assert len(faces) == len(sheets.parts)
    listed = [f"{i}: {p.part.name}" for sheet in sheets.sheets for i, p in enumerate(sheet.placements, 1)]
    assert [e.text for e in texts if ": niche" in (e.text or "")] == listed
    numbers = [e for e in texts if (e.text or "").isdigit()]
    assert [e.text for e in numbers] == [line.split(":")[0] for line in listed]
    for face, number in zip(faces, numbers, strict=True):
        rings = [
            shapely.Polygon([tuple(map(float, xy.split())) for xy in ring.strip(" MZ").split("L")])
            for ring in (face.get("d") or "").split("Z")
            if ring.strip()
        ]
        size = float(number.get("font-size", "0"))
        # digits of sans faces are 0.56 of the size wide and 0.73 high (common faces; from memory), about their middle
        wide, high = 0.56 * size * len(number.text or ""), 0.73 * size
        x, y = float(number.get("x", "0")), float(number.get("y", "0"))
        box = shapely.box(x - wide / 2, y - high, x + wide / 2, y)
        assert rings[0].contains(box)
        assert not any(ring.intersects(box) for ring in rings[1:])


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


# --- the hand-over


def test_files_go_over_in_cutting_order_with_their_hashes(laid: Laid, tmp_path: Path) -> None:
    out, form, sheets = laid
    sent = send(out, tmp_path / "stick", [form])
    there = contents(tmp_path / "stick")
    names = sorted(name for name in there if name != CUT_LIST_FILE)
    assert sent.copied == (*names, CUT_LIST_FILE)
    assert len(names) == len(sheets.sheets)
    for number, name in enumerate(names, 1):
        assert there[name] == (out / f"sheets/sheet-{number:02d}.dxf").read_bytes()
        assert re.fullmatch(rf"{number:02d}-of-\d\d_[A-Za-z0-9.-]+_(offcut-)?\d+x\d+mm\.dxf", name)
    again = send(out, tmp_path / "stick", [form])
    assert (again.copied, again.stood) == ((), sent.copied)


class _Cells(HTMLParser):
    """Text of every table row."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002
        if tag == "tr":
            self.rows.append([])
        elif tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_data(self, data: str) -> None:
        if self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def test_the_cut_list_tells_every_sheet_in_order(laid: Laid, tmp_path: Path) -> None:
    out, form, sheets = laid
    send(out, tmp_path / "stick", [form])
    page = _Cells()
    page.feed((tmp_path / "stick" / CUT_LIST_FILE).read_text(encoding="utf-8"))
    _, *rows = page.rows
    assert [row[1] for row in rows] == [str(sheet.number) for sheet in sheets.sheets]
    for row, sheet in zip(rows, sheets.sheets, strict=True):
        assert row[4].split(", ") == [p.part.name for p in sheet.placements]
        content = (tmp_path / "stick" / row[2]).read_bytes()
        assert hashlib.sha256(content).hexdigest().startswith(row[7].strip())


def test_a_changed_sheet_is_refused_and_nothing_is_copied(laid: Laid, copy: Path, tmp_path: Path) -> None:
    path = copy / "sheets/sheet-01.dxf"
    path.write_bytes(path.read_bytes() + b"\n")
    with pytest.raises(VerifyError, match=r"sheet-01\.dxf: was changed"):
        send(copy, tmp_path / "stick", [laid[1]])
    assert not (tmp_path / "stick").exists()


def test_another_file_of_that_name_is_kept_unless_it_may_be_replaced(laid: Laid, tmp_path: Path) -> None:
    out, form, _ = laid
    stick = tmp_path / "stick"
    first = send(out, stick, [form]).copied[0]
    (stick / first).write_bytes(b"another program's")
    (stick / CUT_LIST_FILE).unlink()
    with pytest.raises(ExportError, match=rf"holds {re.escape(first)} with other content"):
        send(out, stick, [form])
    assert (stick / first).read_bytes() == b"another program's"
    assert not (stick / CUT_LIST_FILE).exists()
    assert send(out, stick, [form], replace=True).copied == (first, CUT_LIST_FILE)
    assert (stick / first).read_bytes() == (out / "sheets/sheet-01.dxf").read_bytes()


def test_a_link_of_that_name_is_not_followed(laid: Laid, tmp_path: Path) -> None:
    out, form, sheets = laid
    stick, elsewhere = tmp_path / "stick", tmp_path / "elsewhere.dxf"
    stick.mkdir()
    elsewhere.write_bytes(b"mine")
    (stick / handoff.router_name(sheets, sheets.sheets[0])).symlink_to(elsewhere)
    for may in (False, True):
        with pytest.raises(ExportError, match="is a link, expected a file"):
            send(out, stick, [form], replace=may)
    assert elsewhere.read_bytes() == b"mine"


def test_files_of_another_hand_over_are_told(laid: Laid, tmp_path: Path) -> None:
    out, form, _ = laid
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "07-of-09_mdf-18_2440x1220mm.dxf").write_bytes(b"of last week")
    (stick / "notes.dxf").write_bytes(b"mine")
    assert send(out, stick, [form]).others == ("07-of-09_mdf-18_2440x1220mm.dxf",)
    assert (stick / "notes.dxf").read_bytes() == b"mine"


@pytest.mark.parametrize("moment", ["fsync", "replace"])
def test_an_interrupted_copy_leaves_no_part_of_a_file(
    laid: Laid, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, moment: str
) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    out, form, _ = laid
    with monkeypatch.context() as patched:
        patched.setattr(exclusive.os if moment == "fsync" else Path, moment, stop)
        with pytest.raises(KeyboardInterrupt):
            send(out, tmp_path / "stick", [form])
    assert contents(tmp_path / "stick") == {}
    assert len(send(out, tmp_path / "stick", [form]).copied) == len(laid[2].sheets) + 1


def test_a_disk_that_reads_back_otherwise_is_told(laid: Laid, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out, form, _ = laid
    plain = exclusive.read_plain

    def rotten(path: Path) -> bytes:
        content = plain(path)
        return content[:-1] + b"?" if path.name.endswith(".part") else content

    monkeypatch.setattr(exclusive, "read_plain", rotten)
    with pytest.raises(ExportError, match="the folder or its disk is at fault"):
        send(out, tmp_path / "stick", [form])
    assert contents(tmp_path / "stick") == {}


def test_the_commands(laid: Laid, copy: Path, tmp_path: Path) -> None:
    again = CliRunner().invoke(main, ["sheets", str(copy), "--nesting", "quick", "--effort", "preview", "--json"])
    assert again.exit_code == 0, again.output
    assert json.loads(again.stdout)["usage"] == pytest.approx(laid[2].usage, rel=1e-9)
    stick = tmp_path / "stick"
    done = CliRunner().invoke(main, ["send", str(copy), "--to", str(stick), "--json"])
    assert done.exit_code == 0, done.output
    assert json.loads(done.stdout)["copied"] == sorted(contents(stick))
    (copy / "niche/form.stl").write_bytes(b"spoiled")
    refused = CliRunner().invoke(main, ["send", str(copy), "--to", str(tmp_path / "other")])
    assert refused.exit_code == 3
    assert refused.stderr == "niche: a file of the form was changed or is missing: verify it, and build again\n"
    none = CliRunner().invoke(main, ["send", str(tmp_path), "--to", str(stick)])
    assert none.exit_code == 4
    assert "holds no sheet-map.json" in none.stderr


def test_outlines_on_the_sheet_are_turned_pieces_of_the_form(laid: Laid) -> None:
    """Area and edge length of every placed outline are those of the piece in the stack: moved, never scaled."""
    for sheet in laid[2].sheets:
        for p in sheet.placements:
            mine: Outline = p.outline
            assert mine.area_mm2 == pytest.approx(p.part.piece.outline.area_mm2, rel=1e-12)
            assert mine.length_mm == pytest.approx(p.part.piece.outline.length_mm, rel=1e-12)


# --- where it goes, and links that somebody planted


def test_a_guessed_name_beside_is_not_written_through(laid: Laid, tmp_path: Path) -> None:
    """Links under every name that the partial file had: another file of the user's stays as it is."""
    out, form, sheets = laid
    stick, mine = tmp_path / "stick", tmp_path / "mine.txt"
    stick.mkdir()
    mine.write_bytes(b"mine")
    names = [*(handoff.router_name(sheets, sheet) for sheet in sheets.sheets), CUT_LIST_FILE]
    for name in names:
        (stick / f".{name}.{os.getpid()}.part").symlink_to(mine)
    assert send(out, stick, [form]).copied == tuple(names)
    assert mine.read_bytes() == b"mine"
    assert not any((stick / name).is_symlink() for name in names)


def test_a_link_planted_while_a_file_is_written_is_told(
    laid: Laid, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody puts a link in the place just before the file gets its name, and again just after."""
    out, form, _ = laid
    mine = tmp_path / "mine.txt"
    mine.write_bytes(b"mine")
    plain = Path.replace

    def planted(self: Path, target: Path) -> Path:
        target.symlink_to(mine)
        done = plain(self, target)
        target.unlink()
        target.symlink_to(mine)
        return done

    monkeypatch.setattr(Path, "replace", planted)
    with pytest.raises(ExportError, match="is a link, expected a file"):
        send(out, tmp_path / "stick", [form])
    assert mine.read_bytes() == b"mine"


def test_a_record_is_not_replaced_through_a_link(tmp_path: Path) -> None:
    from formgen.building.record import replace_file

    mine = tmp_path / "mine.txt"
    mine.write_bytes(b"mine")
    (tmp_path / f".building.json.{os.getpid()}.part").symlink_to(mine)
    replace_file(tmp_path / "building.json", b"{}")
    assert ((tmp_path / "building.json").read_bytes(), mine.read_bytes()) == (b"{}", b"mine")
    (tmp_path / "building.csv").symlink_to(mine)
    with pytest.raises(ExportError, match="is a link"):
        replace_file(tmp_path / "building.csv", b"x")
    assert mine.read_bytes() == b"mine"


def test_parts_of_a_killed_copy_are_swept_and_nothing_else(laid: Laid, tmp_path: Path) -> None:
    out, form, _ = laid
    stick, mine = tmp_path / "stick", tmp_path / "mine.txt"
    stick.mkdir()
    mine.write_bytes(b"mine")
    stale, fresh, link, other = (
        stick / name
        for name in (f".a.dxf.{'0' * 16}.part", f".b.dxf.{'1' * 16}.part", f".c.{'2' * 16}.part", ".d.part")
    )
    for path in (stale, fresh, other):
        path.write_bytes(b"half")
    link.symlink_to(mine)
    for path in (stale, other, mine):
        os.utime(path, (0, 0))
    send(out, stick, [form])
    assert not stale.exists()
    assert fresh.exists()
    assert other.exists()
    assert link.is_symlink()
    assert mine.read_bytes() == b"mine"


@pytest.mark.parametrize("to", [".", "sheets", "sheets/router", "niche", "niche/layers", "../again/sheets"])
def test_a_folder_of_results_is_no_routers_folder(laid: Laid, copy: Path, tmp_path: Path, to: str) -> None:
    again = tmp_path / "again" / "sheets"
    again.mkdir(parents=True)
    (again / "sheet-map.json").write_bytes(b"{}")
    before = sorted(copy.rglob("*"))
    with pytest.raises(ExportError, match="expected the router's: name another folder"):
        send(copy, copy / to, [laid[1]])
    assert sorted(copy.rglob("*")) == before
    assert send(copy, copy / "router", [laid[1]]).copied


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
