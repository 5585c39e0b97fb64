"""A part that must not be pressed: refused in one line, or built and marked on every file, each read by another reader.

The part: two plies of white oak, 22 mm thick, round a niche of 450 mm radius. Bending alone strains their faces by
t/(2R) = 22/(2 × 343) = 3.2 %; clear white oak breaks at MOR/E = 105/12 300 = 0.85 % (Wood Handbook, FPL-GTR-282, Table
5-3a, 12 % moisture), so that nobody will argue with the verdict.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import ezdxf
import pypdfium2 as pdfium
import pytest
import shapely
from click.testing import CliRunner
from pyogrio.raw import read as read_by_gdal

from formgen.cli import main
from tests.reports.plain_text import plain

RECIPE = """\
format: 1
name: NAME
units: mm
part: {arch: {kind: semicircle, span: 900}, measured_on: inside, depth: 60}
laminate: {wood: white oak, thickness: 44, plies: PLIES}
press: {side: male}
form: {body: band, backing: 150, least_pieces: 2}
"""
MARK, WHY = "DO NOT PRESS", "breaking strain"


def run(*words: str | Path) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


def written(folder: Path, name: str, plies: int) -> Path:
    path = folder / f"{name}.yaml"
    path.write_text(RECIPE.replace("NAME", name).replace("PLIES", str(plies)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two folders of results: `bad`, built anyway, and `good`; each with its sheets, and handed over to `router`."""
    folder = tmp_path_factory.mktemp("results")
    for name, plies, more in (("bad", 2, ["--anyway"]), ("good", 16, [])):
        recipe, out = written(folder, f"niche-{name}", plies), folder / name
        assert run("build", recipe, "--output", out, *more)[0] == 0
        assert run("sheets", out, "--nesting", "quick", "--effort", "preview", *more)[0] == 0
        assert run("send", out, "--to", out / "router", *more)[0] == 0
    return folder


# --- refused


def test_build_refuses_in_one_line_and_writes_nothing(tmp_path: Path) -> None:
    code, out, err = run("build", written(tmp_path, "niche", 2), "--output", tmp_path / "out")
    assert (code, out) == (1, "")
    (line,) = err.splitlines()
    assert line.startswith("niche.yaml:")
    wanted = (
        "Ply 1 (white oak, 22.00 mm)",
        WHY,
        "limit 0.0085",
        "Use thinner plies",
        f"--anyway builds it, marked {MARK}",
    )
    for said in wanted:
        assert said in line
    assert not (tmp_path / "out").exists()


def test_of_two_recipes_the_good_one_is_built(tmp_path: Path) -> None:
    bad, good = written(tmp_path, "thick", 2), written(tmp_path, "thin", 16)
    code, out, err = run("build", bad, good, "--output", tmp_path / "out", "--json")
    assert code == 1
    assert [record["name"] for record in json.loads(out)] == ["thin"]
    assert sum(line.startswith("thick.yaml:") for line in err.splitlines()) == 1
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["thin"]


def test_check_answers_with_the_mark_at_the_top(tmp_path: Path) -> None:
    code, out, _ = run("check", written(tmp_path, "niche", 2))
    assert code == 0
    assert out.splitlines()[1].startswith(f"{MARK}: 2 problems to mend first.")
    code, out, _ = run("check", tmp_path / "niche.yaml", "--all")
    assert out.replace("\n", " ").startswith(f"{MARK}: Ply 1 (white oak, 22.00 mm) is bent past its breaking strain")
    code, out, err = run("check", tmp_path / "niche.yaml", "--json")
    assert code == 0
    verdict = json.loads(out)["found"]["verdict"]
    assert verdict["may"] is False
    assert verdict["why"][0] == "laminate.ply-strain"
    assert err.startswith(f"niche: {MARK}: laminate.ply-strain")
    code, out, _ = run("check", written(tmp_path, "niche", 16))
    assert code == 0
    assert MARK not in out


def test_sheets_and_send_refuse_it_without_a_word_of_their_own(results: Path, tmp_path: Path) -> None:
    for command in (["sheets", results / "bad"], ["send", results / "bad", "--to", tmp_path / "router"]):
        code, out, err = run(*command)
        assert (code, out) == (1, "")
        (line,) = err.splitlines()
        assert line.startswith(f"niche-bad: built --anyway, marked {MARK}: Ply 1")
        assert line.endswith("--anyway")
    assert not (tmp_path / "router").exists()


def test_what_was_built_anyway_verifies_and_is_built_to_the_same_bytes(results: Path, tmp_path: Path) -> None:
    assert run("verify", results / "bad" / "niche-bad")[0] == 0
    assert run("build", results / "niche-bad.yaml", "--output", tmp_path, "--anyway")[0] == 0
    again = {p.relative_to(tmp_path): p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    assert again == {
        p.relative_to(results / "bad"): p.read_bytes()
        for p in (results / "bad" / "niche-bad").rglob("*")
        if p.is_file()
    }


def test_anyway_changes_nothing_of_a_good_form(results: Path, tmp_path: Path) -> None:
    assert run("build", results / "niche-good.yaml", "--output", tmp_path, "--anyway")[0] == 0
    for path in (results / "good" / "niche-good").rglob("*"):
        assert path.is_dir() or path.read_bytes() == (tmp_path / path.relative_to(results / "good")).read_bytes()


# --- marked: every file by a reader that is not the program's


def by_pdfium(path: Path) -> str:
    document = pdfium.PdfDocument(path)
    return plain(" ".join(page.get_textpage().get_text_bounded() for page in document))


def by_gdal(path: Path) -> str:
    meta, _, _, fields = read_by_gdal(path)
    texts = fields[list(meta["fields"]).index("Text")]
    return " ".join(str(text) for text in texts if text)


def by_tree(path: Path) -> str:
    root = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 - written by the test
    return " ".join(text.strip() for text in root.itertext() if text.strip())


class _Texts(HTMLParser):
    """What a page shows: no styles, no scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self._hidden = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002 - as the base class has it
        self._hidden = tag in ("style", "script")

    def handle_endtag(self, tag: str) -> None:  # noqa: ARG002 - as the base class has it
        self._hidden = False

    def handle_data(self, data: str) -> None:
        if not self._hidden and data.strip():
            self.said.append(data.strip())


def by_browser(path: Path) -> str:
    texts = _Texts()
    texts.feed(path.read_text(encoding="utf-8"))
    return " ".join(" ".join(texts.said).replace("\u00a0", " ").split())


SHEET = "sheets/sheet-01.dxf"
#: Every file that is marked, and what reads it.
MARKED: dict[str, Callable[[Path], str]] = {
    "{}/drawing.pdf": by_pdfium,
    "{}/drawing.dxf": by_gdal,
    "{}/press-day.pdf": by_pdfium,
    "{}/gauge.pdf": by_pdfium,
    "{}/gauge.dxf": by_gdal,
    "{}/template.pdf": by_pdfium,
    "{}/template-roll.pdf": by_pdfium,
    "{}/report.html": by_browser,
    "{}/form.svg": by_tree,
    "{}/form-layers.dxf": by_gdal,
    "{}/layers/layer-01.dxf": by_gdal,
    "{}/layers/layer-04.dxf": by_gdal,
    SHEET: by_gdal,
    "router/cut-list.html": by_browser,
}


#: What has no room for words, and records that say it in numbers.
WORDLESS = {"form.step", "form.stl", "job.json"}


def test_every_file_of_a_form_is_marked(results: Path) -> None:
    """A new file gets its line in `MARKED`: what goes to the shop without the mark would be cut and pressed."""
    folder = results / "bad" / "niche-bad"
    made = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    like = {"layers/layer-01.dxf" if name.startswith("layers/") else name for name in made - WORDLESS}
    assert like == {name.removeprefix("{}/") for name in MARKED if name.startswith("{}/")} - {"layers/layer-04.dxf"}


@pytest.mark.parametrize("name", MARKED)
def test_it_is_marked_with_the_reason_and_a_good_one_is_not(results: Path, name: str) -> None:
    bad = MARKED[name](results / "bad" / name.format("niche-bad"))
    assert MARK in bad
    assert WHY in bad
    assert "limit 0.008" in bad or "At most 0.008" in bad
    good = MARKED[name](results / "good" / name.format("niche-good"))
    assert len(good) > 20 or name.endswith("form.svg")  # which has no words of its own
    assert MARK not in good


def test_every_page_of_the_template_and_of_the_drawing_is_marked(results: Path) -> None:
    for name in ("template.pdf", "template-roll.pdf", "drawing.pdf"):
        document = pdfium.PdfDocument(results / "bad" / "niche-bad" / name)
        for page in document:
            assert MARK in page.get_textpage().get_text_bounded(), name
    assert len(pdfium.PdfDocument(results / "bad" / "niche-bad" / "template.pdf")) > 4


def test_the_mark_is_the_first_that_report_and_press_day_say(results: Path) -> None:
    folder = results / "bad" / "niche-bad"
    assert by_pdfium(folder / "press-day.pdf").startswith(MARK)
    assert by_pdfium(folder / "gauge.pdf").startswith(MARK)
    report = by_browser(folder / "report.html")
    assert report.index(MARK) < report.index("Job report")


@pytest.mark.parametrize("name", ["{}/layers/layer-01.dxf", "{}/layers/layer-03.dxf", "{}/gauge.dxf", SHEET])
def test_the_mark_is_engraved_on_every_piece_inside_its_edge(results: Path, name: str) -> None:
    """Strokes on the drawing layer of labels, as ezdxf reads them, inside the outlines that GDAL reads."""
    path = results / "bad" / name.format("niche-bad")
    meta, _, geometry, fields = read_by_gdal(path)
    layers = fields[list(meta["fields"]).index("Layer")]
    edges = [shapely.from_wkb(g) for g, layer in zip(geometry, layers, strict=True) if layer == "OUTSIDE PROFILE"]
    pieces = [shapely.Polygon(edge.exterior if edge.geom_type == "Polygon" else edge) for edge in edges]
    held = dict.fromkeys(range(len(pieces)), 0)
    for entity in ezdxf.readfile(path).modelspace().query('LWPOLYLINE[layer=="LABELS"]'):
        if not entity.has_xdata("FORMGEN"):
            continue
        text = "".join(str(tag.value) for tag in entity.get_xdata("FORMGEN") if tag.code == 1000)
        if MARK in text:
            stroke = shapely.LineString([point[:2] for point in entity.get_points()])
            assert stroke.length > 1.0
            (at,) = [i for i, piece in enumerate(pieces) if piece.contains(stroke)]
            held[at] += 1
    assert len(held) >= 1
    assert set(held.values()) == {1}


def test_the_sheet_map_says_which_pieces(results: Path) -> None:
    for which, verdict in (("bad", MARK), ("good", "may be pressed")):
        text = (results / which / "sheets" / "sheet-map.csv").read_text("utf-8-sig")
        rows = list(csv.DictReader(io.StringIO(text, newline="")))
        assert {row["verdict"] for row in rows} == {verdict}
        picture = by_tree(results / which / "sheets" / "sheet-map.svg")
        assert (f"{MARK}: niche-{which}" in picture) is (which == "bad")


def test_the_record_holds_the_verdict(results: Path) -> None:
    bad, good = (
        json.loads((results / which / f"niche-{which}" / "job.json").read_text(encoding="utf-8"))
        for which in ("bad", "good")
    )
    problems = [f["code"] for f in bad["findings"] if f["severity"] == "problem"]
    assert bad["found"]["verdict"] == {"may": False, "why": list(dict.fromkeys(problems))}
    assert "laminate.ply-strain" in problems
    assert good["found"]["verdict"] == {"may": True, "why": []}


# --- records of another format


@pytest.mark.parametrize("number", [1, 3, None])
def test_a_record_of_another_format_is_refused_in_one_line(results: Path, tmp_path: Path, number: int | None) -> None:
    for path in (results / "good").rglob("*"):
        if path.is_file():
            target = tmp_path / path.relative_to(results / "good")
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    job = tmp_path / "niche-good" / "job.json"
    record = json.loads(job.read_text(encoding="utf-8"))
    assert record["format"] == 2
    job.write_text(json.dumps({**record, "format": number}), encoding="utf-8")
    for command in (
        ["verify", tmp_path / "niche-good"],
        ["sheets", tmp_path],
        ["send", tmp_path, "--to", tmp_path / "elsewhere"],
    ):
        code, out, err = run(*command)
        assert (code, out) == (4, "")
        (line,) = err.splitlines()
        assert line.endswith("expected 2: made by an earlier formgen: build it again")
