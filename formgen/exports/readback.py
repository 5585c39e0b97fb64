"""Stage `exports`: a folder of files read again and held against the model that they were made from.

In: a folder and its `Form`. Out: one line for each difference, beginning with the file's name; none means good.
Every file is compared twice: byte for byte with the job record, and by what it holds with the model.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

from formgen.exports import expected
from formgen.exports.dxf import in_a_row, names_of, stack_layer
from formgen.exports.dxf_names import drawing_units
from formgen.exports.job import fingerprint, job_record, versions_used
from formgen.exports.names import JOB_FILE, PICTURE_FILE, STACK_FILE, STEP_FILE, STL_FILE, all_files, layer_file
from formgen.exports.pages import Page, page_differences, page_files
from formgen.exports.readback_dxf import DrawingCheck, FaceCheck, check_drawing
from formgen.exports.readback_step import check_step
from formgen.exports.readback_stl import check_stl
from formgen.form.model import Layer
from formgen.holding.model import Holding

#: Files that a desktop leaves in any folder.
LITTER = ("Thumbs.db", "desktop.ini", ".DS_Store")

#: Numbers of a record made on another machine agree to this share.
RECORD_SHARE = 1e-9


def verify(folder: Path, form: Holding, pages: Sequence[Page] = ()) -> list[str]:
    """Differences between the files in a folder and the form that they should be.

    Args:
        folder: holds `job.json` and what it names.
        form: the model, just made or made again from the record (`recipe_from_job`).
        pages: that were written with it.
    """
    found = record_differences(folder, form, pages)
    for name in all_files(form):
        found += content_differences(folder, name, form)
    record = _read(folder)
    if isinstance(record, dict) and record.get("versions") == versions_used():
        found += page_differences(folder, form, pages, record["files"])
    return found


def record_differences(folder: Path, form: Holding, pages: Sequence[Page] = ()) -> list[str]:
    """Differences of the job record, and of each file from what the record says of its bytes."""
    record = _read(folder)
    if isinstance(record, str):
        return [record]
    wanted = {*all_files(form), *page_files(pages)}
    return [*(f"{JOB_FILE}: {line}" for line in _record(record, form)), *_bytes(folder, record["files"], wanted)]


def _read(folder: Path) -> dict[str, Any] | str:
    """The job record, or what is wrong with it."""
    try:
        record = json.loads((folder / JOB_FILE).read_text(encoding="utf-8"))
    except FileNotFoundError:
        return f"{JOB_FILE}: is missing: build again"
    except (OSError, ValueError) as err:
        return f"{JOB_FILE}: cannot be read ({err}): build again"
    if not isinstance(record, dict) or not isinstance(record.get("files"), dict):
        return f"{JOB_FILE}: names no files, expected a record of formgen: build again"
    return record


def content_differences(folder: Path, name: str, form: Holding) -> list[str]:
    """Differences of what one file holds; none where there is no such file, which the record tells."""
    path = folder / name
    return [f"{name}: {line}" for line in _content(path, name, form)] if path.is_file() else []


def _record(record: dict[str, Any], form: Holding) -> Iterator[str]:
    """Differences of the record itself."""
    true = job_record(form)
    true["asked"].pop("shop_defaults_used")
    for section in ("format", "name", "asked", "found"):
        yield from table_differences(section, true[section], record.get(section))


def table_differences(where: str, true: Any, held: Any) -> Iterator[str]:
    """Where a record that was read is not what it should be; numbers agree to `RECORD_SHARE`."""
    if isinstance(true, dict) and isinstance(held, dict):
        for key, value in true.items():
            yield from table_differences(f"{where}.{key}", value, held.get(key))
    elif isinstance(true, list) and isinstance(held, list) and len(true) == len(held):
        for i, value in enumerate(true):
            yield from table_differences(f"{where}[{i}]", value, held[i])
    elif isinstance(true, float) and isinstance(held, int | float):
        if not math.isclose(true, held, rel_tol=RECORD_SHARE, abs_tol=RECORD_SHARE):
            yield f"{where} = {held}, expected {true}: build again"
    elif true != held:
        yield f"{where} = {str(held)[:60]}, expected {str(true)[:60]}: build again"


def _bytes(folder: Path, listed: dict[str, Any], wanted: set[str]) -> Iterator[str]:
    """Files that are missing, changed or there beside."""
    for name in sorted(wanted | listed.keys()):
        path = folder / name
        if name not in wanted:
            yield f"{name}: is in {JOB_FILE}, but this form has no such file: build again"
        elif not path.is_file():
            yield f"{name}: is missing: build again"
        elif name not in listed:
            yield f"{name}: is not in {JOB_FILE}: build again"
        else:
            now = fingerprint(path)
            if now != listed[name]:
                yield (
                    f"{name}: was changed after it was written: {now['bytes']} bytes with SHA-256 "
                    f"{now['sha256'][:12]}…, not those in {JOB_FILE}: build again"
                )
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if (
            (path.is_symlink() or not path.is_dir())
            and name != JOB_FILE
            and name not in wanted | listed.keys()
            and path.name not in LITTER
        ):
            yield f"{name}: was not written by this build: move it elsewhere"


def _content(path: Path, name: str, form: Holding) -> Iterator[str]:
    if name == STEP_FILE:
        return check_step(path, form)
    if name == STL_FILE:
        return check_stl(path, form)
    if name == STACK_FILE:
        return check_drawing(path, _stack(form))
    if name == PICTURE_FILE:
        return _picture(path, form)
    layer = next((layer for layer in form.layers if layer_file(layer) == name), None)
    return check_drawing(path, _layer(form, layer)) if layer else iter(())  # of a drawing kept, the hash is all


def _picture(path: Path, form: Holding) -> Iterator[str]:
    """The picture shows each piece once from above, as many faces as pieces."""
    try:
        root = ET.fromstring(path.read_text(encoding="utf-8"))  # noqa: S314 -- our own file, hash compared
    except (ET.ParseError, ValueError) as err:
        yield f"cannot be read ({err}), expected SVG: build again"
        return
    faces = [e for e in root.iter() if e.get("fill-rule") == "evenodd"]
    if len(faces) != len(form.pieces):
        yield f"shows {len(faces)} pieces, expected {len(form.pieces)}: build again"


def _layer(form: Holding, layer: Layer) -> DrawingCheck:
    shop = form.pressing.laminate.arch.recipe.shop
    names = names_of(form, layer)
    shifts = tuple(dx_mm for _, dx_mm in in_a_row(layer, shop))
    face = FaceCheck(drawing_layer=names.outside_profile, face=layer.face, outline=layer.outline, shifts_mm=shifts)
    return DrawingCheck(
        expected=expected.layer_drawing(form, layer),
        faces=(face,),
        written=frozenset({names.labels.upper(), names.marks.upper()}),
        version=shop.router.dxf_version,
        in_inches=drawing_units(form) == "in",
    )


def _stack(form: Holding) -> DrawingCheck:
    faces = tuple(
        FaceCheck(drawing_layer=stack_layer(layer), face=layer.face, outline=layer.outline, shifts_mm=(0.0,))
        for layer in form.layers
    )
    return DrawingCheck(
        expected=expected.stack_drawing(form),
        faces=faces,
        written=frozenset(),
        version=form.pressing.laminate.arch.recipe.shop.router.dxf_version,
        in_inches=drawing_units(form) == "in",
    )
