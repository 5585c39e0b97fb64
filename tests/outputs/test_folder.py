"""The folder of a form: put in place whole or not at all, the same bytes on every run, and proof against tampering."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import cast

import pytest

from formgen.errors import ExportError, VerifyError
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.outputs.folder import verify as readback
from formgen.outputs.folder.write import write_all
from formgen.outputs.record.asked import recipe_from_job
from formgen.outputs.record.job import fingerprint
from formgen.outputs.stl import writer
from formgen.outputs.table import names_of, outputs_with
from formgen.pipeline import run

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory, band: Form) -> dict[str, bytes]:
    """Contents of a good folder."""
    target = write_all(band, tmp_path_factory.mktemp("output"))
    return {p.relative_to(target).as_posix(): p.read_bytes() for p in sorted(target.rglob("*")) if p.is_file()}


@pytest.fixture
def target(tmp_path: Path, whole: dict[str, bytes]) -> Path:
    """A good folder to spoil."""
    for name, content in whole.items():
        path = tmp_path / "reading-room-door" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return tmp_path / "reading-room-door"


def verify(folder: Path, form: Form) -> list[str]:
    """Differences, where nothing is left that was not compared."""
    verified = readback.verify(folder, cast("Holding", form))
    assert verified.not_compared == ()
    return list(verified.differences)


def reseal(target: Path) -> None:
    """Make the job record agree with spoiled files, so that only what they hold can tell."""
    record = json.loads((target / "job.json").read_text())
    record["files"] = {name: fingerprint(target / name) for name in record["files"]}
    (target / "job.json").write_text(json.dumps(record))


# --- swapping


def test_files_and_nothing_else(whole: dict[str, bytes], band: Form) -> None:
    assert set(whole) == {"job.json", *names_of(outputs_with(()), cast("Holding", band))}


def test_a_good_folder_verifies(target: Path, band: Form) -> None:
    assert verify(target, band) == []


def test_a_rebuild_takes_the_place_of_the_old(target: Path, band: Form, whole: dict[str, bytes]) -> None:
    (target / "form.stl").write_bytes(b"spoiled")
    assert write_all(band, target.parent) == target
    assert (target / "form.stl").read_bytes() == whole["form.stl"]
    assert [p.name for p in target.parent.iterdir()] == [target.name]


@pytest.mark.parametrize("stop", [RuntimeError("broken"), KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_a_failed_build_leaves_the_old_folder_whole(
    target: Path, band: Form, whole: dict[str, bytes], monkeypatch: pytest.MonkeyPatch, stop: BaseException
) -> None:
    def fail(*_: object) -> None:
        raise stop

    monkeypatch.setattr("formgen.outputs.dxf.layers.write_stack", fail)
    kind = ExportError if isinstance(stop, OSError) else type(stop)
    with pytest.raises(kind, match="disk is full" if kind is ExportError else None):
        write_all(band, target.parent)
    assert {p.relative_to(target).as_posix(): p.read_bytes() for p in target.rglob("*") if p.is_file()} == whole
    assert [p.name for p in target.parent.iterdir()] == [target.name]


def test_a_build_that_does_not_verify_is_not_put_in_place(
    tmp_path: Path, band: Form, block: Form, monkeypatch: pytest.MonkeyPatch
) -> None:
    true = writer.write_stl
    monkeypatch.setattr(writer, "write_stl", lambda _form, path: true(block, path))
    with pytest.raises(VerifyError, match=r"form\.stl: its volume is"):
        write_all(band, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_swap_that_fails_puts_the_old_folder_back(target: Path, band: Form, monkeypatch: pytest.MonkeyPatch) -> None:
    true = Path.rename

    def rename(self: Path, to: Path) -> Path:
        if self.name.endswith(".part"):
            raise KeyboardInterrupt
        return true(self, to)

    monkeypatch.setattr(Path, "rename", rename)
    monkeypatch.setattr("formgen.outputs.folder.whole.exchanged", lambda _one, _other: False)
    with pytest.raises(KeyboardInterrupt):
        write_all(band, target.parent)
    monkeypatch.undo()
    assert verify(target, band) == []
    assert [p.name for p in target.parent.iterdir()] == [target.name]


def test_a_build_killed_between_the_renames_is_undone_by_the_next(
    target: Path, band: Form, monkeypatch: pytest.MonkeyPatch
) -> None:
    target.rename(target.parent / ".reading-room-door.old")
    monkeypatch.setattr("formgen.outputs.step.writer.write_step", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_all(band, target.parent)
    assert [p.name for p in target.parent.iterdir()] == [target.name]
    monkeypatch.undo()
    assert verify(target, band) == []


def test_what_formgen_did_not_write_is_not_touched(target: Path, band: Form, tmp_path: Path) -> None:
    (target / "my notes.txt").write_text("two coats")
    with pytest.raises(ExportError, match=r"holds my notes\.txt, which formgen did not write"):
        write_all(band, target.parent)
    assert verify(target, band) == ["my notes.txt: was not written by this build: move it elsewhere"]
    other = tmp_path / "other"
    (other / target.name).mkdir(parents=True)
    (other / target.name / "plan.dxf").write_text("")
    with pytest.raises(ExportError, match=r"holds plan\.dxf but no job\.json"):
        write_all(band, other)
    linked = tmp_path / "linked"
    linked.mkdir()
    (linked / target.name).symlink_to(target)
    with pytest.raises(ExportError, match="is a link"):
        write_all(band, linked)
    file = tmp_path / "file"
    file.write_text("")
    with pytest.raises(ExportError, match="output folder"):
        write_all(band, file)


# --- tampering


def spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_a_touched_byte_is_named(target: Path, band: Form) -> None:
    for name in names_of(outputs_with(()), cast("Holding", band)):
        content = (target / name).read_bytes()
        (target / name).write_bytes(content[:-3] + bytes([content[-3] ^ 1]) + content[-2:])
        assert any(line.startswith(f"{name}: was changed after it was written") for line in verify(target, band)), name
        (target / name).write_bytes(content)


def test_a_missing_file_is_named(target: Path, band: Form) -> None:
    (target / "layers" / "layer-02.dxf").unlink()
    assert verify(target, band) == ["layers/layer-02.dxf: is missing: build again"]
    (target / "job.json").unlink()
    assert verify(target, band) == ["job.json: is missing: build again"]


def test_a_moved_corner_is_named(target: Path, band: Form) -> None:
    ezdxf = pytest.importorskip("ezdxf")
    path = target / "layers" / "layer-03.dxf"
    document = ezdxf.readfile(path)
    outline = next(iter(document.modelspace().query('LWPOLYLINE[layer=="OUTSIDE PROFILE"]')))
    with outline.points("xyseb") as points:
        x, y, *rest = points[0]
        points[0] = (x + 0.05, y, *rest)
    document.saveas(path)
    reseal(target)
    found = verify(target, band)
    assert len(found) == 1
    assert found[0].startswith("layers/layer-03.dxf: drawing layer OUTSIDE PROFILE: outside profile of L03-1: area")
    assert "a corner is 0.050000 mm off" in found[0]


def test_a_deleted_hole_a_drawn_one_and_a_doubled_line_are_named(target: Path, band: Form) -> None:
    ezdxf = pytest.importorskip("ezdxf")
    path = target / "layers" / "layer-01.dxf"
    document = ezdxf.readfile(path)
    space = document.modelspace()
    space.delete_entity(space.query("CIRCLE")[0])
    space.add_spline([(0, 0), (1, 2), (3, 1)], dxfattribs={"layer": "MARKS"})
    outline = space.query('LWPOLYLINE[layer=="OUTSIDE PROFILE"]')[0]
    space.add_line(outline.get_points("xy")[-1], outline.get_points("xy")[0], dxfattribs={"layer": "OUTSIDE PROFILE"})
    document.saveas(path)
    reseal(target)
    found = "\n".join(verify(target, band))
    assert "layers/layer-01.dxf: drawing layer DRILLING: hole 1 of L01-1 is missing" in found
    assert "drawing layer MARKS: holds SPLINE more than the model" in found
    assert "drawing layer OUTSIDE PROFILE: holds LINE more than the model" in found
    assert "are drawn twice" in found


def test_swapped_files_are_named(target: Path, band: Form) -> None:
    a, b = target / "layers" / "layer-01.dxf", target / "layers" / "layer-02.dxf"
    held = a.read_bytes()
    a.write_bytes(b.read_bytes())
    b.write_bytes(held)
    reseal(target)
    found = verify(target, band)
    assert any(line.startswith("layers/layer-01.dxf:") and "area" in line for line in found)
    assert any(line.startswith("layers/layer-02.dxf:") and "mm off the form face" in line for line in found)


def test_wrong_units_and_labels_are_named(target: Path, band: Form) -> None:
    spoil(target / "layers" / "layer-01.dxf", "$INSUNITS\n 70\n4\n", "$INSUNITS\n 70\n1\n")
    spoil(target / "layers" / "layer-02.dxf", "DOOR L02-1", "DOOR L02-2")
    reseal(target)
    found = "\n".join(verify(target, band))
    assert "layers/layer-01.dxf: does not say that its units are mm" in found
    assert "its text is 'DOOR L02-2', expected 'DOOR L02-1'" in found


def test_step_and_stl_of_another_form_are_named(target: Path, band: Form, tmp_path: Path, block: Form) -> None:
    other = write_all(block, tmp_path / "other")
    for name in ("form.step", "form.stl"):
        (target / name).write_bytes((other / name).read_bytes())
    reseal(target)
    found = "\n".join(verify(target, band))
    assert "form.step: its 4 pieces are not the model's 8" in found
    assert "form.stl: its volume is" in found
    assert "form.stl: its bounding box is" in found


def test_a_radius_changed_in_the_step_is_named(target: Path, band: Form) -> None:
    path = target / "form.step"
    text, changed = re.subn(r"(CYLINDRICAL_SURFACE\('',#\d+),600\.\)", r"\1,600.01)", path.read_text())
    assert changed
    path.write_text(text)
    reseal(target)
    found = verify(target, band)
    assert any(line.startswith("form.step: piece L01-1: a curved face has radius 600.01000 mm") for line in found)


def test_broken_files_are_named_without_a_traceback(target: Path, band: Form) -> None:
    for name in ("form.step", "form.stl", "form-layers.dxf"):
        (target / name).write_bytes(b"0\nSECTION\n")
    reseal(target)
    found = verify(target, band)
    for name in ("form.step", "form.stl", "form-layers.dxf"):
        assert any(line.startswith(f"{name}: ") for line in found), name


def test_numbers_changed_in_the_record_are_named(target: Path, band: Form) -> None:
    record = json.loads((target / "job.json").read_text())
    record["found"]["form"]["depth_mm"] += 1.0
    record["asked"]["recipe"]["part"]["depth_mm"] = 71.0
    (target / "job.json").write_text(json.dumps(record))
    found = verify(target, band)
    assert [line.split(" = ")[0] for line in found] == [
        "job.json: asked.recipe.part.depth_mm",
        "job.json: found.form.depth_mm",
    ]


# --- the record, on every shipped recipe


def test_the_recipe_comes_back_from_the_record(shipped: Form, tmp_path: Path) -> None:
    from formgen.outputs.record.job import job_record

    record = json.loads(json.dumps(job_record(shipped), allow_nan=False))
    recipe = shipped.recipe
    again = recipe_from_job(record, recipe.folder)
    assert (again.asked, again.shop, again.sheet, again.sheet_name) == (
        recipe.asked,
        recipe.shop,
        recipe.sheet,
        recipe.sheet_name,
    )
    assert str(recipe.folder.resolve()) not in json.dumps(record)


def test_a_record_without_a_recipe_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match=r"^job\.json: asked"):
        recipe_from_job({"asked": {}}, tmp_path)


@pytest.mark.parametrize("name", ["porch-door-jamb", "clock-surround", "lending-desk-panel"])
def test_shipped_forms_verify_after_a_rebuild_from_the_record(
    made: Callable[[str], Form], tmp_path: Path, name: str
) -> None:
    form = made(name)
    target = write_all(form, tmp_path)
    record = json.loads((target / "job.json").read_text())
    assert verify(target, run(recipe_from_job(record, form.recipe.folder))) == []


def test_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from formgen.recipe.load import load_recipe;"
        "from formgen.pipeline import run; from formgen.outputs.folder.write import write_all;"
        "write_all(run(load_recipe(Path(sys.argv[1]))), Path(sys.argv[2]))"
    )
    made = []
    for seed in ("1", "2"):
        output = tmp_path / seed
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": f"Etc/GMT+{seed}"}
        recipe = str(ROOT / "recipes" / "clock-surround.yaml")
        subprocess.run([sys.executable, "-c", program, recipe, str(output)], check=True, env=environment, cwd=tmp_path)
        files = (p for p in sorted(output.rglob("*")) if p.is_file())
        made.append({p.relative_to(output).as_posix(): p.read_bytes() for p in files})
    assert made[0].keys() == made[1].keys()
    assert [name for name in made[0] if made[0][name] != made[1][name]] == []
