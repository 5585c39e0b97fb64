"""Findings: the registry, one row for each code, read from `data/<stage>.toml`.

In: a code, and the name of its case where it has several. Out: a `Row` of words with the names of values in braces. A
row is read when it is first asked for and the rest of its file is not understood then, so that `formgen check` stays
quick; `rows` reads all of them. A code stands in the file of the stage that finds it, and begins with that stage's name
or an earlier one's. A case overrides what its row says.

A finding is what somebody must know although the job goes on, gathered through all stages: it states the number, the
limit it was held against and where that limit comes from.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, fields
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

from formgen.fixed import fixed

DATA = Path(__file__).parent / "data"
#: The files, in the order of the stages.
STAGES = ("recipe", "curve", "laminate", "press", "form", "holding", "building")
_HEADER = re.compile(r"\[(?P<code>[a-z]+\.[a-z-]+)")


class Severity(StrEnum):
    """The weight of a finding, lightest first."""

    NOTE = "note"
    WARNING = "warning"
    PROBLEM = "problem"


@fixed
class Finding:
    """One thing to know before the wood is cut.

    Args:
        code: stable name, stage first: `laminate.ply-strain`, `form.relief-moved`.
        severity: NOTE (good to know), WARNING (think first), PROBLEM (the part is likely to fail).
        message: one sentence in shop words, with the remedy.
        title: what it is about, in a few words.
        do: the remedy alone; empty where there is nothing to do.
        handling: it is about carrying, planning or comfort, not about the part: told after those that are.
        value: the number found, in `unit`; None where the finding is not about a number.
        limit: the number it was held against, in `unit`; None where there is none.
        unit: unit of value and limit, `""` for ratios.
        source: where the limit comes from: a standard, handbook table, `common practice`, the shop file.
        steps: keys of the steps of the press day before which it stands; none where the day has no step for it.
        setting: one value that cures it, ready to paste after `formgen check … --set`; empty where none is known.
    """

    code: str
    severity: Severity
    message: str
    title: str = ""
    do: str = ""
    handling: bool = False
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    steps: tuple[str, ...] = ()
    setting: str = ""

    @property
    def grave(self) -> bool:
        """True if it is more than a note."""
        return self.severity is not Severity.NOTE

    @classmethod
    def held(cls, record: Mapping[str, Any]) -> Finding:
        """The finding that a record holds."""
        known = {"severity": Severity(record["severity"]), "steps": tuple(record.get("steps", ()))}
        return cls(**{**record, **known})


class FindingError(LookupError):
    """A fault in the registry or in how it is called; the sentence names the code."""


@fixed
class Row:
    """The words under one code, in one of its cases.

    Args:
        severity: how much it matters.
        title: what it is about, in a few words.
        sentence: what was found; `{name}` stands for a value, `{name:tape}` for one written as on a tape.
        do: what to do, in the imperative; empty where there is nothing to do.
        source: where the limit comes from.
        unit: of value and limit; empty for ratios.
        steps: keys of the steps of the press day before which it stands.
        handling: it is about carrying, planning or comfort, not about the part.
        words: wordings that a name in braces stands for, one or by the key that is given as its value.
    """

    severity: Severity
    title: str
    sentence: str
    do: str
    source: str
    unit: str = ""
    steps: tuple[str, ...] = ()
    handling: bool = False
    words: Mapping[str, Any]


_KEYS = {field.name: field.default is MISSING for field in fields(Row)}


def row(code: str, case: str | None = None) -> Row:
    """Return the row of a code.

    Args:
        code: such as `press.film-folds`.
        case: which of its cases; None where it has none.

    Raises:
        FindingError: no such code or case; a row that is half filled.
    """
    file, held = _found(code)
    if case not in held:
        named = ", ".join(name for name in held if name)
        raise FindingError(f"{file}.toml: {code}: got case {case}, expected {named or 'none'}")
    return held[case]


def any_case(code: str) -> Row:
    """Return the row of a code in the first of its cases, for words that all of them have."""
    return next(iter(_found(code)[1].values()))


def rows() -> Iterator[tuple[str, str | None, Row]]:
    """Yield each code with each of its cases and what is said there, in the order of the files.

    Raises:
        FindingError: a row that is half filled.
    """
    for file in STAGES:
        for code in _sections(file):
            yield from ((code, case, held) for case, held in _cases(file, code).items())


def _found(code: str) -> tuple[str, dict[str | None, Row]]:
    """The file in which a code stands, that of the stage that it begins with or of a later one, and all its cases."""
    stage = code.partition(".")[0]
    for file in STAGES[STAGES.index(stage) :] if stage in STAGES else ():
        held = _cases(file, code)
        if held:
            return file, held
    raise FindingError(f"{code}: no such finding in formgen/findings/data; add a row to the file of its stage")


@cache
def _sections(file: str) -> dict[str, str]:
    """The text of each code's row and cases in one file."""
    found: dict[str, str] = {}
    for text in re.split(r"^(?=\[)", (DATA / f"{file}.toml").read_text(encoding="utf-8"), flags=re.MULTILINE):
        header = _HEADER.match(text)
        if header is not None:
            found[header["code"]] = found.get(header["code"], "") + text
        elif text.startswith("["):
            raise FindingError(f"{file}.toml: {text.splitlines()[0]}: expected a code such as [curve.plumb-legs]")
    return found


@cache
def _cases(file: str, code: str) -> dict[str | None, Row]:
    """All cases of a code that stands in a file; under None the only one of a code without; none if it is not there."""
    text = _sections(file).get(code)
    if text is None:
        return {}
    stage, _, name = code.partition(".")
    try:
        whole: dict[str, Any] = tomllib.loads(text)[stage][name]
    except tomllib.TOMLDecodeError as err:
        raise FindingError(f"{file}.toml: {code}: {err}") from err
    cases = whole.pop("case", {None: {}})
    return {case: _filled(f"{file}.toml: {code}", case, whole, own) for case, own in cases.items()}


@cache
def _shared() -> dict[str, Any]:
    """Wordings that any row may name."""
    return tomllib.loads((DATA / "phrases.toml").read_text(encoding="utf-8"))


def _filled(where: str, case: str | None, whole: dict[str, Any], own: dict[str, Any]) -> Row:
    """A row with what its case says over it. Of which type each text is `formgen/findings/listing.py` looks at."""
    words = {**_shared(), **whole.get("words", {}), **own.get("words", {})}
    held = {**whole, **own, "words": words}
    where = f"{where}, case {case}" if case else where
    for key in _KEYS.keys() | held.keys():
        if key not in _KEYS:
            raise FindingError(f"{where}: {key}: no such key, expected {', '.join(_KEYS)}; take it out")
        if key not in held and _KEYS[key]:
            raise FindingError(f"{where}: {key}: missing; fill the row")
    if held["severity"] not in set(Severity):
        raise FindingError(f"{where}: severity: got {held['severity']}, expected {', '.join(Severity)}")
    known = {"severity": Severity(held["severity"]), "steps": tuple(held.get("steps", ()))}
    return Row(**{**held, **known})
