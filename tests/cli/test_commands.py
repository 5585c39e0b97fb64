"""The command line as a person meets it: tables, JSON, exit codes, and one line for each mistake."""

from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main

RECIPES = Path(__file__).parents[2] / "recipes"

JAMB = str(RECIPES / "porch-door-jamb.yaml")


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    assert "Traceback" not in done.output
    return done.exit_code, done.stdout, done.stderr


def test_check_prints_eight_answers_on_one_screen() -> None:
    code, out, _ = _run("check", JAMB)
    assert code == 0
    for words in ("8 × 0.125 in yellow-poplar", "8 layers of mdf-3-4", "pulls in to", "on the inside face", "--all"):
        assert words in out
    assert "180.00°" not in out


def test_screens_of_several_recipes_stand_apart() -> None:
    other = str(RECIPES / "stair-corner.yaml")
    alone = [_run("check", recipe)[1] for recipe in (JAMB, other)]
    assert _run("check", JAMB, other)[1] == "\n".join(alone)


def test_what_is_tried_already_stands_in_the_line_to_paste(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (RECIPES / "porch-door-jamb.yaml").read_text(encoding="utf-8").replace("mdf-3-4", "MDF 3/4 in")
    (tmp_path / "a.yaml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    _, out, _ = _run("check", "a.yaml", "--set", "form.backing=7")
    assert "      formgen check a.yaml --set form.backing=7 --set press.side=female\n" in out


def test_check_all_prints_the_numbers_that_decide() -> None:
    code, out, _ = _run("check", JAMB, "--all")
    assert code == 0
    for words in (
        "R 18 in",
        "180.00°",
        "8 × 0.125 in yellow-poplar",
        "1.56 %",
        "sweep 182.86°",
        "8 of mdf-3-4",
        "pulls in to",
    ):
        assert words in out
    assert max(map(len, out.splitlines())) <= 80


def test_check_json_is_the_job_record_without_files() -> None:
    code, out, _ = _run("check", JAMB, "--json")
    record = json.loads(out)
    assert code == 0
    assert record["name"] == "porch-door-jamb"
    assert record["asked"]["recipe"]["part"]["arch"]["span_mm"] == 914.4
    assert record["found"]["laminate"]["spring_back"] == pytest.approx(1 / 64)
    assert "files" not in record


def test_several_recipes_give_a_list_and_go_on_past_a_refusal(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("format: 1\n", encoding="utf-8")
    code, out, err = _run("check", JAMB, str(bad), str(RECIPES / "stair-corner.yaml"), "--json")
    assert code == 1
    assert [record["name"] for record in json.loads(out)] == ["porch-door-jamb", "stair-corner"]
    assert all(line.startswith("bad.yaml:") for line in err.splitlines() if "missing" in line)


def test_a_refused_recipe_leaves_nothing_behind(tmp_path: Path) -> None:
    text = (RECIPES / "reading-room-head.yaml").read_text(encoding="utf-8").replace("rise: 9 1/2", "rise: 40")
    (tmp_path / "tall.yaml").write_text(text.replace("  sheet: mdf-3-4\n", ""), encoding="utf-8")
    code, out, err = _run("build", str(tmp_path / "tall.yaml"), "--output", str(tmp_path / "out"))
    assert (code, out) == (1, "")
    assert len(err.splitlines()) == 1
    assert err.startswith("tall.yaml:9:43: part.arch.rise")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["reading-room-head", "Reading-Room-HEAD"])
def test_two_recipes_of_one_name_are_refused_before_anything_is_written(tmp_path: Path, name: str) -> None:
    text = (RECIPES / "reading-room-head.yaml").read_text(encoding="utf-8").replace("  sheet: mdf-3-4\n", "")
    first, second, third = (tmp_path / f"{stem}.yaml" for stem in ("first", "second", "third"))
    first.write_text(text, encoding="utf-8")
    second.write_text(text.replace("name: reading-room-head", f"name: {name}"), encoding="utf-8")
    third.write_text(text.replace("name: reading-room-head", "name: other"), encoding="utf-8")
    code, out, err = _run("build", str(first), str(third), str(second), "--output", str(tmp_path / "out"))
    assert (code, out) == (1, "")
    (line,) = err.splitlines()
    assert line.startswith(f"{first} and {second} are both named {name}, expected a name of its own for each")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["../x", "CON", "a" * 300, "", "a/b", ".hidden", "a b"])
def test_names_with_tricks_in_them_are_refused(tmp_path: Path, name: str) -> None:
    text = (RECIPES / "reading-room-head.yaml").read_text(encoding="utf-8")
    (tmp_path / "r.yaml").write_text(
        text.replace("name: reading-room-head", f"name: {json.dumps(name)}"), encoding="utf-8"
    )
    code, _, err = _run("build", str(tmp_path / "r.yaml"), "--output", str(tmp_path / "out"))
    assert code == 1
    assert "r.yaml:" in err
    assert not (tmp_path / "out").exists()
    assert _run("new", name, "--to", str(tmp_path / "new"))[0] != 0


def test_build_then_verify_then_a_change_is_named(tmp_path: Path) -> None:
    code, out, err = _run("build", JAMB, "--output", str(tmp_path), "--json")
    assert code == 0
    record = json.loads(out)
    folder = tmp_path / "porch-door-jamb"
    assert sorted(record["files"]) == sorted(
        p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file() and p.name != "job.json"
    )
    assert "read back" in err
    assert _run("verify", str(folder))[0] == 0
    drawing = folder / "layers" / "layer-03.dxf"
    drawing.write_text(drawing.read_text(encoding="utf-8").replace("THIS SIDE UP", "THAT SIDE UP"), encoding="utf-8")
    code, out, err = _run("verify", str(folder), "--json")
    assert code == 3
    assert "layers/layer-03.dxf" in err
    assert json.loads(out)["agrees"] is False


def test_what_could_not_be_compared_is_named_and_ends_with_5(tmp_path: Path) -> None:
    assert _run("build", JAMB, "--output", str(tmp_path))[0] == 0
    folder = tmp_path / "porch-door-jamb"
    (folder / "Thumbs.db").write_bytes(b"MZ")
    code, out, err = _run("verify", str(folder), "--json")
    assert code == 5
    record = json.loads(out)
    assert (record["agrees"], record["differences"]) == (False, [])
    assert record["not_compared"] == err.splitlines()[:1]
    assert err.startswith("Thumbs.db: has the name of a desktop's own file")
    assert err.splitlines()[-1].endswith("agrees as far as it was compared; 1 not compared")


def test_a_recipe_from_a_drawing_verifies_where_the_drawing_is_not(tmp_path: Path) -> None:
    assert _run("build", str(RECIPES / "reference-alcove.yaml"), "--output", str(tmp_path))[0] == 0
    assert _run("verify", str(tmp_path / "reference-alcove"))[0] == 0


def test_verify_of_what_formgen_did_not_write(tmp_path: Path) -> None:
    code, _, err = _run("verify", str(tmp_path))
    assert code == 4
    assert "job.json is missing" in err


@pytest.mark.parametrize("units", ["in", "mm"])
def test_new_writes_a_recipe_that_checks_and_never_overwrites(tmp_path: Path, units: str) -> None:
    assert _run("new", "garden-gate", "--units", units, "--to", str(tmp_path))[0] == 0
    assert _run("check", str(tmp_path / "garden-gate.yaml"))[0] == 0
    code, _, err = _run("new", "garden-gate", "--to", str(tmp_path))
    assert code == 4
    assert "exists already" in err


@pytest.mark.parametrize("what", ["woods", "panels", "veneers", "sheets", "between", "arches", "adhesives", "cautions"])
def test_show_gives_every_entry_with_its_source(what: str) -> None:
    code, out, _ = _run("show", what, "--json")
    entries = json.loads(out)
    assert code == 0
    assert len(entries) >= 3
    if what != "arches":
        assert all(entry["source"] or entry["how_sure"] for entry in entries)
    _, table, _ = _run("show", what)
    assert str(entries[0]["name"]).split()[0] in table


@pytest.mark.parametrize("what", ["recipe", "shop"])
def test_schema_is_json_schema(what: str) -> None:
    code, out, _ = _run("schema", what)
    assert code == 0
    assert json.loads(out)["type"] == "object"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_scripts_call_the_program(shell: str) -> None:
    code, out, _ = _run("completion", shell)
    assert code == 0
    assert "_FORMGEN_COMPLETE" in out


def test_completion_answers_commands() -> None:
    environment = {**os.environ, "_FORMGEN_COMPLETE": "bash_complete", "COMP_WORDS": "formgen ver", "COMP_CWORD": "1"}
    code = "from formgen.cli import main; main(prog_name='formgen')"
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    assert "verify" in done.stdout


def test_what_is_not_understood_is_exit_2() -> None:
    assert _run("bend", JAMB)[0] == 2
    assert _run("check")[0] == 2


def test_a_recipe_that_is_not_there(tmp_path: Path) -> None:
    code, _, err = _run("check", str(tmp_path / "nowhere.yaml"))
    assert code in {1, 4}
    assert len(err.splitlines()) == 1
    assert "nowhere.yaml" in err


def test_a_shop_file_is_told_from_a_recipe() -> None:
    """`build recipes/*.yaml` is what anyone types: the shop file among them is left out, alone it is refused."""
    shop = str(RECIPES / "shop.yaml")
    code, out, err = _run("check", shop)
    assert (code, out) == (1, "")
    assert err.startswith("shop.yaml: this is a shop file")
    assert err.count("\n") == 1
    code, out, err = _run("check", shop, JAMB)
    assert (code, err) == (0, "shop.yaml: a shop file, left out\n")
    assert out == _run("check", JAMB)[1]


def test_a_recipe_that_names_keys_of_a_shop_is_not_taken_for_one(tmp_path: Path) -> None:
    recipe = tmp_path / "part.yaml"
    recipe.write_text(f"{Path(JAMB).read_text()}\ncutter: 1/4 in\n")
    code, _, err = _run("check", str(recipe))
    assert (code, "cutter is not a key" in err) == (1, True)


def test_help_lines_are_whole() -> None:
    """No control code reaches the screen, and no line of the list of commands is cut."""
    code, out, _ = _run("--help")
    assert code == 0
    assert "\\b" not in out
    assert not [line for line in out.split("Commands:")[1].splitlines() if line.endswith("...")]


def test_what_to_try_is_pasted_as_it_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line after `Try:` runs from the same folder, keeps what is tried already, and cures what it stands under."""
    monkeypatch.chdir(tmp_path)
    text = Path(JAMB).read_text(encoding="utf-8").replace("mdf-3-4", "MDF 3/4 in")
    Path("p d.yaml").write_text(text, encoding="utf-8")
    code, out, err = _run("check", "p d.yaml", "--all", "--set", "note=a b")
    assert code == 0
    assert err.splitlines() == [
        "Tried, and written nowhere. To keep it, type:",
        "  p d.yaml: note: a b",
    ]
    command = next(said.partition("Try: ")[2] for said in out.splitlines() if "press.side=female" in said)
    words = shlex.split(command)
    assert words[:3] == ["formgen", "check", "p d.yaml"]
    assert words.count("--set") == 2
    assert "press.film-folds" in out
    assert "press.film-folds" not in _run(*words[1:], "--all")[1]


def test_a_value_that_is_tried_stands_in_the_record_and_in_no_file(tmp_path: Path) -> None:
    recipe = tmp_path / "jamb.yaml"
    recipe.write_bytes(Path(JAMB).read_bytes().replace(b"mdf-3-4", b"MDF 3/4 in"))
    before = recipe.read_bytes()
    code, out, err = _run("check", str(recipe), "--set", "form.backing=7", "--json")
    assert code == 0
    assert json.loads(out)["asked"]["recipe"]["form"]["backing_mm"] == pytest.approx(177.8)
    assert all("setting" in finding for finding in json.loads(out)["findings"])
    assert "backing: 7 (now 6)" in err
    assert [path.name for path in tmp_path.iterdir()] == ["jamb.yaml"]
    assert recipe.read_bytes() == before
    code, _, err = _run("check", str(recipe), "--set", "form.backing=wide")
    assert code == 1
    assert err.startswith('--set form.backing = "wide", expected a length')


def test_the_name_alone_says_what_to_do_first_in_six_lines() -> None:
    code, out, err = _run()
    assert (code, err) == (0, "")
    first = out.splitlines()
    assert len(first) == 6
    assert max(map(len, first)) <= 80
    for line in first[1:5]:  # each names a command that is there
        command = line.split()[1]
        assert _run(command, "--help")[0] == 0
