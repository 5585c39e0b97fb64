"""Building: the words of an office's schedule, and what a header says by them.

In: texts as typed. Out: what a column gives or asks, its unit, and whether a cell is a dash, a ditto or a total. The
words themselves stand in `data/words.toml`; nothing here looks at more than one cell.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from formgen.fixed import fixed
from formgen.recipe.data_file import read_table
from formgen.recipe.source import KeyPath

#: The unit of a column in which each cell says its own.
OWN_UNIT = "ft-in"

_PLAIN = str.maketrans({"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "\u00a0": " ", "_": " "})
_SIZES = r"(?:dimensions?|dims?|sizes?|measurements?|lengths?|units?)"


@fixed
class Meaning:
    """The sense of the word of a column says.

    Args:
        called: how this program calls it.
        gives: the recipe key, or nothing.
        asks: what its contents must decide: `number`, `type`, `height`, `overall`, or nothing.
    """

    called: str
    gives: KeyPath = ()
    asks: str = ""


@cache
def _words() -> dict[str, Any]:
    return read_table("words", Path(__file__).parent / "data")


@cache
def _meanings() -> Mapping[str, Meaning]:
    found: dict[str, Meaning] = {}
    for called, row in _words()["column"].items():
        gives = tuple(row["gives"].split(".")) if "gives" in row else ()
        meaning = Meaning(called=called, gives=gives, asks=row.get("asks", ""))
        found |= dict.fromkeys(row["words"], meaning)
    return found


@cache
def _units() -> Mapping[str, str]:
    return {word: unit for unit, words in _words()["unit"].items() for word in words}


def plain(text: object) -> str:
    """A text in small letters, its blanks single, typographic quotes plain, without what ends it (`.`, `:`, `*`)."""
    return " ".join(str(text).translate(_PLAIN).casefold().split()).strip(" .:*")


@cache
def header_words() -> tuple[str, ...]:
    """Every word that a header may say."""
    return tuple(_meanings())


def called() -> tuple[str, ...]:
    """Return how the columns are called here that give a recipe key."""
    return tuple(name for name, row in _words()["column"].items() if "gives" in row)


def name_of(path: KeyPath) -> str:
    """Return how the column that gives this key is called here: its own name for a key that has no trade word."""
    return next((m.called for m in _meanings().values() if m.gives == path), ".".join(map(str, path)))


def unit_names() -> str:
    """The units as they are listed in a message."""
    return ", ".join(_words()["unit"])


def meaning_of(word: str) -> Meaning | None:
    """Return what a plain word means; of words with a stroke between them what all of them mean."""
    known = _meanings()
    bare = word.replace(".", "")
    if word in known or bare in known:
        return known.get(word) or known[bare]
    parts = {known.get(part.strip(" .")) for part in word.split("/")}
    return parts.pop() if len(parts) == 1 else None


def unit_of(text: str) -> str | None:
    """The unit that a text says and nothing else; None if it is none."""
    return _units().get(plain(text).removeprefix("in ").strip("()[] ") if plain(text) != "in" else "in")


@cache
def _split() -> re.Pattern[str]:
    """A header with a unit behind it: after a blank, comma, stroke, dash or `in`; a mark of inches needs none."""
    letters = "|".join(re.escape(w) for w in sorted(_units(), key=len, reverse=True) if w[0].isalpha())
    return re.compile(rf"(?P<word>.+?)(?:(?:\s*[,/:–-]\s*|\s+in\s+|\s+)(?P<unit>{letters})|\s*(?P<mark>\"|''|'))")


def without_unit(word: str) -> tuple[str, str | None]:
    """A plain header as the word before its unit, and the unit as typed; None where none is typed."""
    found = re.fullmatch(r"(.+?)\s*[,/:–-]?\s*[\(\[](.*)[\)\]]", word)
    if found:
        return found[1].strip(" .,"), found[2].strip(" .")
    found = _split().fullmatch(word)
    if found:
        return found["word"].strip(" .,"), found["unit"] or found["mark"]
    return word, None


def sheet_unit(text: str) -> str | None:
    """The unit of a line such as `All dimensions in mm unless noted`; None if it says none."""
    letters = "|".join(re.escape(w) for w in sorted(_units(), key=len, reverse=True) if w.isalpha())
    said = plain(text)
    found = re.search(rf"\b{_SIZES}\b.{{0,40}}?(?:\bin|\bare|:|=)\s+(?:in\s+)?({letters})\b", said)
    found = found or re.fullmatch(rf"(?:all )?{_SIZES}\s*[:=-]?\s*({letters})", said)
    return _units()[found[1]] if found else None


def is_one_of(cell: object, kind: str) -> bool:
    """Tell whether a cell is one of the words of that kind: `totals`, `notes`, `ditto`, `as_base`, `none`."""
    return isinstance(cell, str) and (plain(cell) in _row(kind) or cell.strip() in _row(kind))


def begins_with(cell: object, kind: str) -> bool:
    """Tell whether the first words of a cell are of that kind, alone or before a colon, blank or figure."""
    said = plain(cell) if isinstance(cell, str) else ""
    return any(said == word or re.match(rf"{re.escape(word)}[\s:.\d]", said) for word in _row(kind))


@cache
def _row(kind: str) -> frozenset[str]:
    return frozenset(_words()["row"][kind])
