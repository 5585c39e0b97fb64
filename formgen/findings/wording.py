"""Findings: the words of the registry with the numbers of a job in them, each written as the shop reads it.

In: a code, the recipe's units, values in mm, N, kPa, MPa, °C, rad, minutes or plain numbers. Out: a `Finding`, or a
phrase of its row. `{gap:fine}` is written by the writer `fine`; `{plies:ply/plies}` is a count with its noun, or the
noun with the numbers where a tuple is given; `{where}` alone is a wording of the row, or of `data/phrases.toml`, if
there is one of that name, else the text that was given. Lengths are rounded as the writer says, with no mark for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from string import Formatter
from typing import Any

from formgen.amounts import (
    amount_text,
    angle_text,
    newton_range_text,
    newton_text,
    pressure_text,
    small_reading,
    stress_text,
    temperature_text,
    time_text,
    weight_text,
)
from formgen.findings.registry import Finding, FindingError, Row, any_case, row
from formgen.lengths import Units, write_fine, write_length, write_measured, write_tape
from formgen.units import MM_PER_IN, STANDARD_GRAVITY_M_PER_S2


def change_text(mm: float, units: Units) -> str:
    """Return how much wider or narrower a span is: `0.041 in wide`, or `true`."""
    text = write_fine(abs(mm), units)
    if text == write_fine(0.0, units):
        return "true"
    return f"{text} {'wide' if mm > 0 else 'narrow'}"


def _ends_text(mm: float, units: Units) -> str:
    """`0.041 in nearer`, or `1.20 mm further apart`."""
    return f"{write_fine(abs(mm), units)} {'nearer' if mm <= 0.0 else 'further apart'}"


def _hair_text(mm: float, units: Units) -> str:
    """Say what no caliper shows: to 0.00001 in, or 0.0001 mm."""
    return f"{mm / float(MM_PER_IN):.5f} in" if units == "in" else f"{mm:.4f} mm"


def _pull_text(newtons: float, units: Units) -> str:
    """A hand's pull; in kg as well where the shop reads mm: that is what a hand can judge."""
    text = newton_text(newtons, units)
    return text if units == "in" else f"{text} ({newtons / float(STANDARD_GRAVITY_M_PER_S2):.0f} kg)"


def _step_text(celsius: float, units: Units) -> str:
    """A difference of temperatures."""
    return f"{1.8 * celsius:.0f} °F" if units == "in" else f"{celsius:.0f} °C"


def _range_text(least: str, most: str, after: str) -> str:
    """Both ends of a range with what follows a number, said once where they are the same."""
    return most if least == most else f"{least.removesuffix(after)} to {most}"


#: The writers that a name in braces may ask for.
WRITERS: Mapping[str, Callable[[Any, Units], str]] = {
    "length": write_length,
    "tape": write_tape,
    "eighth": lambda mm, units: write_tape(mm, units, 8),
    "fine": write_fine,
    "measured": write_measured,
    "hair": _hair_text,
    "nearer": _ends_text,
    "change": change_text,
    "pressure": pressure_text,
    "reading": small_reading,
    "stress": stress_text,
    "temperature": temperature_text,
    "step": _step_text,
    "newton": newton_text,
    "pull": _pull_text,
    "weight": weight_text,
    "percent": lambda share, _: f"{100.0 * share:.0f} %",
    "tenths": lambda share, _: f"{100.0 * share:.1f} %",
    "angle": lambda rad, _: angle_text(rad),
    "degree": lambda rad, _: f"{math.degrees(rad):.1f}°",
    "sharp": lambda rad, _: f"{math.degrees(rad):.3f}°",
    "minutes": lambda minutes, _: time_text(minutes),
    "friction": lambda number, _: f"{number:.2f}",
    "tenth": lambda number, _: f"{number:.1f}",
    "whole": lambda number, _: f"{number:.0f}",
}
#: Writers of a range, which is given as both its ends.
RANGES: Mapping[str, Callable[[float, float, Units], str]] = {
    "newtons": newton_range_text,
    "eighths": lambda a, b, units: _range_text(write_tape(a, units, 8), write_tape(b, units, 8), f" {units}"),
    "times": lambda a, b, _: _range_text(f"{a:.0f}", f"{b:.0f}", "") + (" times" if round(b) != 1 else ""),
}


def finding(
    code: str, units: Units, case: str | None = None, /, *, value: float | None = None, limit: float | None = None,
    **values: Any,
) -> Finding:  # fmt: skip
    """Return what is to be said under a code.

    Args:
        code: a row of the registry.
        units: what the shop reads, `in` or `mm`.
        case: which of the row's cases; None where it has none.
        value: the number found, in the row's unit.
        limit: the number it was held against, in the same unit.
        values: what stands for the names in the row's words.

    Raises:
        FindingError: no such code, case or wording, a value that is missing or in no word.
    """
    held = row(code, case)
    given = {**values, "value": value, "limit": limit}
    text = _Text(code, held, units, given, held.sentence, held.do, held.source)
    said = (text(held.sentence), text(held.do))
    return Finding(
        code=code,
        severity=held.severity,
        message=" ".join(part for part in said if part),
        title=held.title,
        do=said[1],
        handling=held.handling,
        value=value,
        limit=limit,
        unit=held.unit,
        source=text(held.source),
        steps=held.steps,
    )


def phrase(code: str, word: str, units: Units, key: str | None = None, /, **values: Any) -> str:
    """Return one wording of a code's row by itself: for a list that is put together, or a page that says it too.

    Args:
        code: a row of the registry.
        word: name of the wording.
        units: what the shop reads.
        key: which of its wordings; None where there is one.
        values: what stands for the names in it.
    """
    text = _Text(code, any_case(code), units, values if key is None else {**values, word: key}, f"{{{word}}}")
    return text(f"{{{word}}}")


def numbers_text(found: Finding, units: Units) -> str:
    """Return a finding's number and its limit as the shop reads them; empty where it has no number."""
    if found.value is None:
        return ""
    limit = "" if found.limit is None else f", limit {_amount(found.limit, found.unit, units)}"
    return f"{_amount(found.value, found.unit, units)}{limit}"


def _amount(value: float, unit: str, units: Units) -> str:
    if unit == "mm":
        return write_measured(value, units)
    return amount_text(value, unit.removesuffix("s") if value == 1.0 else unit, units)  # 1 layer, 3 layers


def reached(words: Mapping[str, Any], *said: str) -> set[str]:
    """Return all names in braces that wordings lead to, whichever keys are given."""
    found: set[str] = set()
    opened: set[str] = set()
    left = list(said)
    while left:
        for name, spec in named(left.pop()):
            found.add(name)
            if not spec and name in words and name not in opened:
                opened.add(name)
                word = words[name]
                left.extend([word] if isinstance(word, str) else word.values())
    return found


def named(template: str) -> Iterator[tuple[str, str]]:
    """Yield the names in braces of a wording, each with its writer."""
    return ((name, spec or "") for _, name, spec, _ in Formatter().parse(template) if name is not None)


class _Text:
    """The wordings of one row with the values of one job."""

    def __init__(self, code: str, held: Row, units: Units, values: Mapping[str, Any], *said: str) -> None:
        self.code, self.words, self.units, self.values = code, held.words, units, values
        unused = sorted(set(values) - reached(held.words, *said) - {"value", "limit"})
        if unused:
            raise FindingError(f"{code}: no word says {', '.join(unused)}; leave it out, or say it in the row")

    def __call__(self, template: str) -> str:
        """Return a wording with its names replaced."""
        return "".join(
            literal + ("" if name is None else self._value(name, spec or ""))
            for literal, name, spec, _ in Formatter().parse(template)
        )

    def _value(self, name: str, spec: str) -> str:
        word = None if spec else self.words.get(name)
        if isinstance(word, str):
            return self(word)
        value = self.values.get(name)
        if value is None:
            raise FindingError(f"{self.code}: {name} is missing; give it where the finding is made")
        if word is not None:
            key = {True: "yes", False: "no"}.get(value, value)
            if key not in word:
                raise FindingError(f"{self.code}: {name} = {key}, expected {', '.join(word)}")
            return self(word[key])
        if isinstance(value, str):
            return value
        return self._written(name, value, spec)

    def _written(self, name: str, value: Any, spec: str) -> str:
        several = value if isinstance(value, tuple) else (value,)
        if not all(math.isfinite(each) for each in several):
            raise FindingError(f"{self.code}: {name} = {value}, expected a number that can be written")
        one, slash, more = spec.partition("/")
        if slash and isinstance(value, tuple):
            return f"{one if len(value) == 1 else more} {_listed([str(each) for each in value])}"
        if slash or not spec:
            return f"{value} {one if value == 1 else more}".rstrip()
        if spec in RANGES:
            least, most = several
            return RANGES[spec](least, most, self.units)
        if spec not in WRITERS:
            raise FindingError(f"{self.code}: {name}:{spec} is no writer, expected {', '.join((*WRITERS, *RANGES))}")
        return _listed([WRITERS[spec](each, self.units) for each in several])


def _listed(texts: list[str]) -> str:
    """`3`, `3 and 11`, `3, 5 and 11`."""
    *first, last = texts
    return f"{', '.join(first)} and {last}" if first else last
