"""Stage `outputs`: a job record that was read, held whole against the one that the model gives.

In: the table and a `Form`. Out: one line for each difference: a value, a key too many or too few, a list longer or
shorter. Only what a record alone can tell is taken from it: which sizes of the shop nobody had set (they
must have their usual value), and what was found of the recipe's own text.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from formgen.holding.model import Holding
from formgen.outputs.record.job import PACKAGES, job_record, versions_used
from formgen.quoted import escaped, quoted
from formgen.recipe.strict import fields_of

#: Numbers of a record made on another machine agree to this share.
RECORD_SHARE = 1e-9
_VERSION = re.compile(r"[\w.+-]{1,40}|not installed")
_HASH = re.compile(r"[0-9a-f]{64}")


def record_lines(record: Mapping[str, Any], form: Holding) -> Iterator[str]:
    """Differences of a record without what it says of its files' bytes."""
    true = as_read(job_record(form))
    yield from keys_differ("", {*true, "files"}, record.keys())
    asked = record.get("asked")
    known = {"shop": list(_usual(form.recipe.shop)), "recipe": list(fields_of(form.recipe.asked))}
    for whose, names in known.items():
        key = f"{whose}_defaults_used"
        given = asked.get(key) if isinstance(asked, dict) else None
        if not isinstance(given, list) or [name for name in names if name in given] != given:
            yield f"asked.{key} names what the {whose}'s sizes do not say: build again"
        true["asked"][key] = given
    for section in ("format", "name", "asked", "found", "findings"):
        yield from table_differences(section, true[section], record.get(section))
    yield from version_lines(record.get("versions"), set(PACKAGES))


def as_read(record: Mapping[str, Any]) -> dict[str, Any]:
    """A record as it is when it was written and read again."""
    table: dict[str, Any] = json.loads(json.dumps(record, allow_nan=False))
    return table


def version_lines(held: Any, packages: set[str]) -> Iterator[str]:
    """List where the versions of a record are none."""
    if not isinstance(held, dict) or held.keys() != packages:
        yield "versions are not those of the packages that make the files: build again"
    elif not all(isinstance(text, str) and _VERSION.fullmatch(text) for text in held.values()):
        yield "versions holds what is no version: build again"


def other_versions(held: Mapping[str, Any]) -> str:
    """Say which versions of a record are not those at work now; empty where all are."""
    now = versions_used()
    others = (package for package in now if held[package] != now[package])
    return "; ".join(f"{package} {escaped(held[package])}, here {now[package]}" for package in others)


def file_lines(files: Mapping[str, Any]) -> Iterator[str]:
    """Entries of a record's files that are not a hash and a size."""
    for name, made in files.items():
        good = isinstance(made, dict) and made.keys() == {"sha256", "bytes"}
        sha256, size = (made["sha256"], made["bytes"]) if good else (None, None)
        if not (isinstance(sha256, str) and _HASH.fullmatch(sha256) and type(size) is int and size >= 0):
            yield f"files.{escaped(name)} is no hash with a size: build again"


def table_differences(where: str, true: Any, held: Any) -> Iterator[str]:
    """List where a record that was read is not what it should be; numbers agree to `RECORD_SHARE`."""
    if isinstance(true, dict) and isinstance(held, dict):
        yield from keys_differ(f"{where}.", true.keys(), held.keys())
        for key in (key for key in true if key in held):
            yield from table_differences(f"{where}.{key}", true[key], held[key])
    elif isinstance(true, list) and isinstance(held, list) and len(true) == len(held):
        for i, value in enumerate(true):
            yield from table_differences(f"{where}[{i}]", value, held[i])
    elif isinstance(true, float) and type(held) in (int, float):
        if not math.isclose(true, held, rel_tol=RECORD_SHARE, abs_tol=RECORD_SHARE):
            yield f"{where} = {held}, expected {true}: build again"
    elif type(true) is not type(held) or true != held:
        yield f"{where} = {_told(held)}, expected {_told(true)}: build again"


def keys_differ(within: str, true: Any, held: Any) -> Iterator[str]:
    """Keys that are missing, and keys that no record of this program has."""
    yield from (f"{within}{key} is missing: build again" for key in true if key not in held)
    yield from (f"{within}{escaped(key)} is no key of a record: build again" for key in held if key not in true)


def _told(value: Any) -> str:
    if isinstance(value, list | dict):
        return f"{len(value)} entries"
    return quoted(value) if isinstance(value, str) else escaped(value)


def _usual(model: BaseModel, within: str = "") -> Iterator[str]:
    """Fields that have the value that they have when nobody sets them, as `cutter.diameter_mm`, at every depth."""
    for name, field in type(model).model_fields.items():
        value = getattr(model, name)
        if isinstance(value, BaseModel):
            yield from _usual(value, f"{within}{name}.")
        elif not field.is_required() and value == field.get_default(call_default_factory=True):
            yield f"{within}{name}"
