"""`formgen show` on a screen of 80 columns, filtered by words; and what stands below an error that lists all names."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.building.schedule.read import read_schedule
from formgen.cli import main
from formgen.cli.show import KINDS

RECIPE = """\
format: 1
name: head
units: mm
part:
  arch: {kind: segmental, span: 915, rise: 152}
  measured_on: inside
  depth: 100
laminate: {wood: wenge, thickness: 18, plies: 6}
press: {side: male}
"""


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize("kind", KINDS)
def test_every_list_is_blocks_that_fit_eighty_columns(kind: str) -> None:
    code, out, _ = _run("show", kind)
    assert code == 0
    assert max(map(len, out.splitlines())) <= 80
    blocks = out.rstrip("\n").split("\n\n")
    listed = json.loads(_run("show", kind, "--json")[1])
    assert len(blocks) == len(listed)
    for block, entry in zip(blocks, listed, strict=True):
        head, *rest = block.splitlines()
        assert head.startswith(entry.get("name") or entry["code"])
        assert rest
        assert all(line.startswith("  ") and line == line.rstrip() for line in rest)


def test_every_value_of_a_wood_stands_in_its_block_with_its_unit() -> None:
    _, out, _ = _run("show", "woods", "white", "ash")
    flat = " ".join(out.split())  # Wood Handbook, Tables 5-3a and 13-5
    for said in (
        "white ash", "also American ash", "modulus 12000 MPa", "bending strength 103 MPa", "Table 5-3a",
        "swells across rings 0.169 %", "swells along rings 0.274 %", "specific gravity 0.6", "how sure published",
    ):  # fmt: skip
        assert said in flat
    assert "None" not in out
    assert "southern" not in out


def test_a_line_on_glue_is_shown() -> None:
    assert "acetone" in _run("show", "woods", "iroko")[1]
    assert "resorcinol formaldehyde" in _run("show", "woods", "acetylated")[1]


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (("woods", "oak"), {"northern red oak", "white oak", "European oak"}),
        (("woods", "OAK", "white"), {"white oak"}),
        (("woods", "Scots"), {"European redwood"}),  # another name
        (("woods", "red oak"), {"northern red oak"}),
        (("glues", "pva"), {"polyvinyl acetate"}),
        (("adhesives", "UF"), {"urea formaldehyde"}),
        (("Sheets", "3/4"), {"MDF 3/4 in"}),
        (("arches", "half", "round"), {"semicircle"}),
        (("panels", "birch-ply"), {"birch aircraft plywood"}),
        (("veneers", "slic"), {"face veneer"}),
        (("between", "cloth"), {"breather"}),
        (("cautions", "dust"), {"dust"}),
    ],
)
def test_words_filter_by_name_and_other_names(words: tuple[str, ...], names: set[str]) -> None:
    code, out, _ = _run("show", *words, "--json")
    assert code == 0
    assert {entry["name"] for entry in json.loads(out)} == names


def test_findings_are_filtered_by_code_and_title() -> None:
    listed = json.loads(_run("show", "findings", "ply-strain", "--json")[1])
    assert {entry["code"] for entry in listed} == {"laminate.ply-strain"}


@pytest.mark.parametrize("json_too", [(), ("--json",)])
def test_nothing_found_says_what_there_is(json_too: tuple[str, ...]) -> None:
    code, out, err = _run("show", "woods", "teak", *json_too)
    assert (code, out) == (1, "")
    first, *rest = err.splitlines()
    assert first.startswith('formgen show woods: "teak" stands in no name of')
    assert all(name in "\n".join(rest) for name in ("white oak", "utile", "acetylated radiata pine"))
    assert max(map(len, rest)) <= 80


@pytest.mark.parametrize("words", [("check",), ("check", "--json"), ("build",)])
def test_an_unknown_name_is_one_line_with_all_names_below_it_on_stderr(tmp_path: Path, words: tuple[str, ...]) -> None:
    path = tmp_path / "head.yaml"
    path.write_text(RECIPE, encoding="utf-8")
    code, out, err = _run(words[0], str(path), *words[1:])
    assert (code, out) == (1, "")
    first, blank, title, *_ = err.splitlines()
    assert first.startswith('head.yaml:8:18: laminate.wood = "wenge", expected the name of a wood;')
    assert (blank, title) == ("", "All woods, the nearest first:")
    assert "      modulus: 11000 MPa" in err


def test_a_schedule_says_it_in_one_line_for_a_row(tmp_path: Path) -> None:
    base, rows = tmp_path / "base.yaml", tmp_path / "rows.csv"
    base.write_text(RECIPE.replace("wenge", "white oak"), encoding="utf-8")
    rows.write_text("opening,laminate.wood\nA,wenge\nB,oak\nC,European Oak\n", encoding="utf-8")
    code, _, err = _run("batch", str(rows), "--base", str(base), "--output", str(tmp_path / "out"))
    assert code == 1
    said = [line for line in err.splitlines() if "laminate.wood" in line]
    assert [line.split(" = ")[0].split("row ")[1] for line in said] == [
        "2, column laminate.wood",
        "3, column laminate.wood",
    ]
    assert "which oak" in said[1]
    assert "All woods" not in err


def test_a_row_that_says_the_bases_arch_otherwise_keeps_its_sizes(tmp_path: Path) -> None:
    base, rows = tmp_path / "base.yaml", tmp_path / "rows.csv"
    base.write_text(RECIPE.replace("wenge", "white oak"), encoding="utf-8")
    rows.write_text("opening,arch,rise\nA,Segmental arch,160\n", encoding="utf-8")
    schedule = read_schedule(rows, base)
    assert not schedule.refused
    arch = schedule.openings[0].recipe.part.arch
    assert (arch.kind, getattr(arch, "span_mm", None)) == ("segmental", 915.0)
