"""A small schedule made by chance, built whole by the command, run again, and with one row changed.

What `building.json`, the tables, each form's record and pages say is counted against the rows.
"""

from __future__ import annotations

import csv
import io
import json
import tempfile
import traceback
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tests.robustness.asking import ask
from tests.robustness.chance_schedules import Chance, chance_schedule, in_mm, with_row
from tests.robustness.schedules import Seen, shared_alone, words

#: What says that a file was not written again: inode, time, bytes.
Stands = dict[str, tuple[int, int, bytes]]


def built(seed: int) -> Seen:
    """The small schedule of that seed, built, run again, changed and run again."""
    seen = Seen(seed=seed)
    try:
        with tempfile.TemporaryDirectory(prefix="schedules-") as name:
            seen.faults += _built(seed, Path(name), seen)
    except Exception:
        seen.faults.append(traceback.format_exc(limit=-3).strip().replace("\n", " | "))
    return seen


def _built(seed: int, folder: Path, seen: Seen) -> Iterator[str]:
    chance, _, _ = shared_alone(chance_schedule(seed, small=True), folder)
    output = folder / "output"
    asked = words(chance, chance.put(folder), output)
    answer = ask(*asked)
    if answer.code:
        seen.counts["small schedules refused"] += 1
        if output.exists():
            yield f"refused, and something is written: {answer.err}"
        return
    record = _record(output)
    seen.counts.update({"built whole": 1, "openings built": record["openings"], "forms built": len(record["forms"])})
    seen.counts["with sheets"] += chance.sheets
    seen.counts["forms built for several"] += sum(len(form["openings"]) > 1 for form in record["forms"])
    yield from count_faults(chance, output)

    before = standing(output)
    again = ask(*asked)
    if again.code or standing(output) != before:
        yield f"a second run ends with {again.code} and writes {_written(before, standing(output))}"

    index = seed % len(chance.rows)
    mark = chance.rows[index]["opening"]
    deeper = with_row(chance, index, depth="9/16" if chance.units == "in" else 14)
    ask(*words(deeper, deeper.put(folder), output))
    yield from count_faults(deeper, output)
    own = next(form["name"] for form in record["forms"] if mark in _marks(form))
    changed = {name.split("/")[0] for name in _written(before, standing(output)) if "/" in name} - {"sheets"}
    after = _record(output)
    if [_pieces(record), _marked(record)] != [_pieces(after), _marked(after)]:
        seen.counts["a changed row changes the pieces a layer of all"] += 1
    elif changed != {own}:
        yield f"{mark} is deeper, which builds {sorted(changed)}, and it is on {own}"


def _marks(form: Mapping[str, Any]) -> list[str]:
    return [held["opening"] for held in form["openings"]]


def _marked(record: Mapping[str, Any]) -> list[list[str]]:
    return [_marks(form) for form in record["forms"]]


def _pieces(record: Mapping[str, Any]) -> list[int]:
    return [form["least_pieces"] for form in record["forms"]]


def _record(output: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((output / "building.json").read_text(encoding="utf-8"))["found"]
    return found


def standing(output: Path) -> Stands:
    """Every file below the folder with its inode, time and bytes."""
    files = [path for path in sorted(output.rglob("*")) if path.is_file()]
    return {path.relative_to(output).as_posix(): (path.stat().st_ino, path.stat().st_mtime_ns, path.read_bytes())
            for path in files}  # fmt: skip


def _written(before: Stands, after: Stands) -> list[str]:
    return sorted(name for name in before.keys() | after.keys() if before.get(name) != after.get(name))


def count_faults(chance: Chance, output: Path) -> Iterator[str]:
    """What the record, the tables and the forms' own records do not count as the rows do."""
    record = _record(output)
    rows = {row["opening"]: row for row in chance.rows}
    copies = {mark: int(row["quantity"]) for mark, row in rows.items()}
    marked = [mark for form in record["forms"] for mark in _marks(form)]
    if sorted(marked) != sorted(rows):
        yield f"openings {sorted(rows)} are recorded as {marked}"
    if (record["openings"], record["forms_saved"]) != (len(rows), len(rows) - len(record["forms"])):
        yield f"{record['openings']} openings, {record['forms_saved']} forms saved"
    for form in record["forms"]:
        rightly = {mark: (copies[mark], chance.marks.index(mark) + 2) for mark in _marks(form)}
        wrong = [held for held in form["openings"] if (held["quantity"], held["row"]) != rightly[held["opening"]]]
        if wrong:
            yield f"{form['name']}: row or quantity of {wrong}"
        yield from _form_faults(output / form["name"], form, copies)
    yield from _table_faults(output, record, copies)
    yield from _press_faults(record["press_days"], copies)
    if chance.sheets != bool(record["sheets"]) or chance.sheets != (output / "sheets").is_dir():
        yield "sheets are there that were not asked for, or the other way round"
    tolerance = in_mm(chance.base["part"]["tolerance"])
    for form in record["forms"]:
        for held in form["openings"]:
            if abs(held["tolerance_mm"] - tolerance) > 1e-6 or held["gives_up_mm"] > chance.share * tolerance + 1e-6:
                yield f"{held['opening']} gives up {held['gives_up_mm']} of {held['tolerance_mm']}"


def _form_faults(folder: Path, form: Mapping[str, Any], copies: Mapping[str, int]) -> Iterator[str]:
    """The form's own record, its pages and its layers."""
    found = json.loads((folder / "job.json").read_text(encoding="utf-8"))["found"]
    made = {held["mark"]: (held["quantity"], len(held["ids"])) for held in found["makes"]}
    wanted = {mark: (copies[mark], copies[mark]) for mark in _marks(form)}
    if made != wanted:
        yield f"{form['name']} makes {made}, and {wanted} are wanted"
    drawn = len(list((folder / "layers").glob("layer-*.dxf")))
    if not form["layers"] == len(found["form"]["layers"]) == drawn:
        yield f"{form['name']} has {form['layers']} layers and {drawn} drawings"
    page = (folder / "report.html").read_text(encoding="utf-8")
    missing = [mark for mark in _marks(form) if mark not in page]
    if missing:
        yield f"{form['name']}: its report does not name {missing}"


def _table_faults(output: Path, record: Mapping[str, Any], copies: Mapping[str, int]) -> Iterator[str]:
    """Rows of `building.csv` against the record and the drawings."""
    text = (output / "building.csv").read_text("utf-8-sig")
    table = list(csv.DictReader(io.StringIO(text, newline="")))
    kinds: dict[str, list[dict[str, str]]] = {kind: [row for row in table if row["row"] == kind]
             for kind in ("opening", "form", "plies", "total")}  # fmt: skip
    (total,) = kinds["total"]
    if {row["opening"]: int(row["quantity"]) for row in kinds["opening"]} != copies:
        yield "building.csv has other openings or quantities"
    if {row["opening"]: int(row["glue-ups"]) for row in kinds["opening"]} != copies:
        yield "building.csv has other glue-ups"
    layers = sum(form["layers"] for form in record["forms"])
    counted = {"quantity": sum(copies.values()), "glue-ups": sum(copies.values()), "layers": layers,
               "pieces": _pieces_recorded(output, record)}  # fmt: skip
    said = {column: int(total[column]) for column in counted}
    if said != counted:
        yield f"building.csv totals {said}, counted {counted}"
    # one spare of each opening beside the plies of all copies
    plies = sum(int(row["plies"]) * copies[row["opening"]] + 1 for row in kinds["opening"])
    if int(total["plies"]) != plies:
        yield f"building.csv totals {total['plies']} plies, counted {plies}"
    if total["opening"] != f"{len(copies)} openings" or total["form"] != f"{len(record['forms'])} forms":
        yield f"building.csv totals {total['opening']} and {total['form']}"
    if record["sheets"] and record["sheets"]["pieces"] != counted["pieces"]:
        yield f"{record['sheets']['pieces']} pieces on sheets of {counted['pieces']}"


def _pieces_recorded(output: Path, record: Mapping[str, Any]) -> int:
    folders = [output / form["name"] / "job.json" for form in record["forms"]]
    jobs = [json.loads(path.read_text(encoding="utf-8")) for path in folders]
    return sum(len(layer["pieces"]) for job in jobs for layer in job["found"]["form"]["layers"])


def _press_faults(plan: Mapping[str, Any], copies: Mapping[str, int]) -> Iterator[str]:
    """Every copy is glued up once, or left out with a reason."""
    ups = dict.fromkeys(copies, 0)
    for held in plan["glue_ups"]:
        ups[held["opening"]] += 1
    for held in plan["left_out"]:
        ups[held["opening"]] += held["count"]
    if ups != copies:
        yield f"press days glue up {ups}, wanted {copies}"
