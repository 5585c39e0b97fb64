"""Stage `outputs`: the job record, what was asked and what was found, kept apart, and which files it made.

In: a `Form`. Out: a table, and `job.json`. It holds no date and no path of the machine: the same recipe gives the same
bytes on any day. What was asked is complete: `recipe_from_job` makes the recipe again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from formgen.answers import answers
from formgen.curve.ordinates import ordinates
from formgen.form.model import Form
from formgen.holding.model import Holding
from formgen.makes.model import Made
from formgen.outputs.dxf.layers import in_a_row
from formgen.outputs.folder.exclusive import read_plain
from formgen.outputs.folder.names import layer_file
from formgen.outputs.record.plain import number, plain
from formgen.recipe.as_asked import asked_record, form_code

FORMAT = 2
#: Packages whose version can change the bytes of a file.
PACKAGES = ("formgen", "cadquery", "cadquery-ocp", "ezdxf", "jinja2", "manifold3d", "numpy", "reportlab", "scipy")
#: Fields that are not repeated in a stage's own table.
_ELSEWHERE = (
    "recipe", "arch", "laminate", "pressing", "findings", "holding_findings", "strokes", "between", "over", "makes",
    "shape", "settings",
)  # fmt: skip


def job_record(form: Holding) -> dict[str, Any]:
    """The record without its files: `format`, `name`, `asked`, `found`, `findings`, `versions`."""
    recipe = form.recipe
    return {
        "format": FORMAT,
        "name": recipe.name,
        "asked": asked_record(recipe),
        "found": {"verdict": plain(form.verdict), "answers": plain(answers(form))} | _found(form),
        "findings": [plain(finding) for finding in form.all_findings],
        "versions": versions_used(),
    }


def versions_used() -> dict[str, str]:
    """Versions of the packages that can change the bytes of a file, this program's own among them."""
    return {package: _version(package) for package in PACKAGES}


def write_job(record: Mapping[str, Any], files: Iterable[str], path: Path) -> None:
    """Write the record with the hash and size of each file.

    Args:
        record: from `job_record`.
        files: names relative to the folder of `path`, with forward slashes.
        path: the file to write.
    """
    made = {name: fingerprint(path.parent / name) for name in files}
    text = json.dumps({**record, "files": made}, indent=1, ensure_ascii=False, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")


def fingerprint(path: Path) -> dict[str, Any]:
    """A file's SHA-256 and its size in bytes."""
    return fingerprint_of(path.read_bytes())


def fingerprint_plain(path: Path) -> dict[str, Any]:
    """The same of a file of a finished folder, which is no link.

    Raises:
        ExportError: it is a link, or no file.
    """
    return fingerprint_of(read_plain(path))


def fingerprint_of(content: bytes) -> dict[str, Any]:
    """SHA-256 and size of what a file holds."""
    return {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}


def _found(form: Holding) -> dict[str, Any]:
    pressing = form.pressing
    shop = pressing.recipe.shop
    lying = {
        key: [{"name": name, "thickness_mm": number(thickness)} for name, thickness in items]
        for key, items in (("between", pressing.between), ("over", pressing.over))
    }
    return {
        "arch": plain(pressing.arch, _ELSEWHERE),
        "laminate": plain(pressing.laminate, _ELSEWHERE),
        "press": plain(pressing, _ELSEWHERE) | lying,
        "form": {"depth_mm": number(form.depth_mm)} | _own(form, Form),
        "holding": _own(form, Holding),
        "code": form_code(pressing.recipe),
        "makes": [_made(part) for part in form.makes],
        "gauge": plain(ordinates(pressing.arch), (*_ELSEWHERE, "centre")),
        "shift_in_file_mm": {
            layer_file(layer): {piece.name: number(dx_mm) for piece, dx_mm in in_a_row(layer, shop)}
            for layer in form.layers
        },
    }


def _made(part: Made) -> dict[str, Any]:
    """A part that comes off the form; of its trim the ends by name."""
    trim = part.trim
    ends = {
        key: dict(zip(("right_mm", "left_mm"), map(number, lengths), strict=True))
        for key, lengths in (("along_form_face", trim.form_face_mm), ("along_centre_line", trim.centre_line_mm))
    }
    own: dict[str, Any] = plain(part, ("pressing", "gauge", "findings", "trim", "ends_mm"))
    return own | {"ply_step_mm": number(part.ply_step_mm), "trim": {"measured_from": trim.measured_from} | ends}


def _own(form: Holding, stage: type[Form]) -> dict[str, Any]:
    """Return what one stage added: the fields that its result has over the result of the stage before."""
    before = {field.name for base in stage.__bases__ if is_dataclass(base) for field in fields(base)}
    own = [field.name for field in fields(stage) if field.name not in before and field.name not in _ELSEWHERE]
    return {name: plain(getattr(form, name), _ELSEWHERE) for name in own}


@cache
def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:  # run from the source tree, or a kernel under another name
        if package == "formgen":
            from formgen import __version__

            return __version__
        return "not installed"
