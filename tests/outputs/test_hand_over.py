"""The hand-over copies whole or not at all, over nothing of another's, and through no link."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from formgen.cli import main
from formgen.errors import ExportError, VerifyError
from formgen.outputs.folder import exclusive
from formgen.outputs.sheets import handoff
from formgen.outputs.sheets.handoff import CUT_LIST_FILE, send
from tests.outputs.laid import Laid, contents


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
    from formgen.building.summary.record import replace_file

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
