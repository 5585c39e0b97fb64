"""Stage `recipe`: a YAML file as plain data, with the line and column of every key and value.

In: a path. Out: tables, lists, texts, numbers, true and false, by the rules of YAML 1.2 (`no`, `1:30` and dates stay
text). Refuses what a recipe has no use for: anchors, aliases, merge keys, tags, directives, several documents.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from formgen.errors import RecipeError
from formgen.fixed import fixed
from formgen.quoted import escaped, quoted, unseen

#: For reading only; a pipe that nobody writes to is not waited for.
_OPEN = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)

KeyPath = tuple[str | int, ...]

LARGEST_BYTES = 200_000
DEEPEST = 20
#: No recipe and no shop file holds more keys and values than this.
MOST_VALUES = 10_000
#: Longer runs of digits stay text and are refused where a number is wanted.
LONGEST_NUMBER = 40

_CONTROL = re.compile(r"[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_INTEGER = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_WORDS: Mapping[str, bool | None] = {
    "": None, "~": None, "null": None, "Null": None, "NULL": None,
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """The place of a key and its value, counted from 1, and what was typed (None for tables and lists).

    `said` is the place where no line can tell it: `--set form.backing`; lines and columns are 0 then.
    """

    key_line: int
    key_column: int
    line: int
    column: int
    typed: str | None
    said: str = ""

    def at(self, file: str) -> str:
        """Return the value's place for a message: `porch.yaml:14:7`, or what is said instead."""
        return self.said or f"{file}:{self.line}:{self.column}"


@fixed
class Source:
    """A file that was read.

    Args:
        name: the file's name, for messages.
        data: tables as dict, lists as tuple, texts, numbers, true, false and None.
        places: where each key path stands; the empty path is the whole file. List items count from 0.
        mistakes: (line, column, message) of what was read past: duplicate keys, anchors, tags and the like.
        short: paths of a recipe's keys that are told by their last step, since they stand at its top.
    """

    name: str
    data: Any
    places: Mapping[KeyPath, Place]
    mistakes: tuple[tuple[int, int, str], ...]
    short: frozenset[KeyPath] = frozenset()


def read_source(path: Path) -> Source:
    """The file's data and places.

    Raises:
        RecipeError: it cannot be read, is too large, not UTF-8, or not YAML; one line with its place.
    """
    text = _text(path)
    try:
        builder = _Builder(text)
        data = builder.document()
    except _TooMuchError as stop:
        raise RecipeError(f"{path.name}:{stop.line}:{stop.column}: {stop}") from None
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = f"{mark.line + 1}:{mark.column + 1}" if mark else "1:1"
        problem = escaped(" ".join(str(error.problem or error.context).split()))
        raise RecipeError(
            f"{path.name}:{where}: not YAML ({problem}); check the indentation, colons and quotes here and one line up"
        ) from None
    except YAMLError as error:
        raise RecipeError(f"{path.name}:1:1: not YAML ({quoted(error)}); check the file") from None
    return Source(name=path.name, data=data, places=builder.places, mistakes=tuple(builder.mistakes))


def read_value(text: str) -> Any:
    """Return what a text would be after a key of a recipe: `[a, b]` and `{a: 1}` by YAML, anything else as it stands.

    Raises:
        ValueError: brackets that do not close, or something in them that a recipe has no use for.
    """
    if not text.startswith(("[", "{")):
        return plain_scalar(text)
    try:
        builder = _Builder(text)
        data = builder.document()
    except (YAMLError, _TooMuchError):
        raise ValueError("expected brackets that close, items with commas between; correct it") from None
    if builder.mistakes:
        raise ValueError(builder.mistakes[0][2])
    return data


def read_setting(text: str, path: KeyPath, said: str) -> tuple[Any, dict[KeyPath, Place]]:
    """Return a value that was typed on the command line, read as in a recipe, and the places of all that is in it.

    Args:
        text: what would stand after the key in a recipe.
        path: the key's.
        said: the place, in the words of a message.

    Raises:
        ValueError: as `read_value`.
    """
    data = read_value(text)
    typed = None if isinstance(data, dict | tuple) else text
    places = {path: Place(0, 0, 0, 0, typed, said)}
    if typed is None:
        builder = _Builder(text)
        builder.document()
        inner = builder.places.items()
        places |= {(*path, *step): Place(0, 0, 0, 0, place.typed, said) for step, place in inner if step}
    return data, places


def contents(path: Path, most: int, expected: str) -> bytes:
    """The file's bytes.

    Args:
        path: of the file.
        most: no more bytes than these.
        expected: what is said of a larger file.

    Raises:
        RecipeError: it is missing, no file (a pipe would be waited for), cannot be read or is too large, or its name
            holds what no screen should show.
    """
    if unseen(path.name) is not None or set("\t\n\r") & set(path.name):
        raise RecipeError(f"{escaped(path.name)}: expected no control characters in a file's name; rename it")
    try:
        with os.fdopen(os.open(path, _OPEN), "rb") as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise RecipeError(
                    f"{path.name}: cannot be read (a folder, a pipe or a device), expected a file; check what it is"
                )
            raw = file.read(most + 1)
    except FileNotFoundError:
        raise RecipeError(f"{path.name}: no such file; check the path") from None
    except OSError as error:
        raise RecipeError(f"{path.name}: cannot be read ({error.strerror}); check what it is") from error
    if len(raw) > most:
        raise RecipeError(f"{path.name}: expected {expected}")
    return raw


def _text(path: Path) -> str:
    """The file's text, checked before any parser sees it."""
    raw = contents(path, LARGEST_BYTES, "a file of at most 200 kB; is it a recipe?")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        raise RecipeError(f"{path.name}:{line}:{column}: expected UTF-8 text; save the file as UTF-8") from None
    control = _CONTROL.search(text)
    if control:
        line = text.count("\n", 0, control.start()) + 1
        column = control.start() - text.rfind("\n", 0, control.start())
        raise RecipeError(
            f"{path.name}:{line}:{column}: expected no control characters, got {quoted(control.group())}; delete it"
        )
    return text


class _TooMuchError(Exception):
    def __init__(self, event: Event, expected: str) -> None:
        super().__init__(expected)
        self.line = event.start_mark.line + 1
        self.column = event.start_mark.column + 1


class _Builder:
    """Builds data from a text by the parser's events, keeping places and mistakes as it goes."""

    def __init__(self, text: str) -> None:
        self._events: Iterator[Event] = YAML(typ="safe", pure=True).parse(text)
        self._count = 0
        self.places: dict[KeyPath, Place] = {}
        self.mistakes: list[tuple[int, int, str]] = []

    def document(self) -> Any:
        """The one document; None for an empty file."""
        next(self._events)  # start of stream
        start = next(self._events)
        if isinstance(start, StreamEndEvent):
            self.places[()] = Place(1, 1, 1, 1, "")
            return None
        if isinstance(start, DocumentStartEvent) and (start.version or start.tags):
            self._mistake(start, "expected no % line before the ---; delete it")
        first = next(self._events)
        data = self._value((), first, first)
        next(self._events)  # end of document
        after = next(self._events)
        if not isinstance(after, StreamEndEvent):
            self._mistake(after, "expected one recipe in the file, got a second after ---; put it in a file of its own")
        return data

    def _mistake(self, event: Event, message: str) -> None:
        self.mistakes.append((event.start_mark.line + 1, event.start_mark.column + 1, message))

    def _next(self, depth: int) -> Any:
        """The next event, so deep in the file; refuses a file that no hand wrote before its parser has eaten it."""
        event = next(self._events)
        self._count += 1
        if depth > DEEPEST and not isinstance(event, MappingEndEvent | SequenceEndEvent):
            raise _TooMuchError(event, f"expected at most {DEEPEST} levels of nesting; flatten it")
        if self._count > MOST_VALUES:
            raise _TooMuchError(event, f"expected at most {MOST_VALUES} keys and values in a file; is it a recipe?")
        return event

    def _value(self, path: KeyPath, event: Any, key: Event) -> Any:
        typed = event.value if isinstance(event, ScalarEvent) else None
        k, v = key.start_mark, event.start_mark
        self.places[path] = Place(k.line + 1, k.column + 1, v.line + 1, v.column + 1, typed)
        if isinstance(event, AliasEvent):
            self._mistake(event, f"expected no alias, got *{escaped(event.anchor)}; write the value out")
            return None
        if event.anchor is not None:
            self._mistake(event, f"expected no anchor, got &{escaped(event.anchor)}; delete it")
        if event.tag is not None:
            self._mistake(event, f"expected no tag, got {quoted(event.tag)}; delete it")
        if isinstance(event, MappingStartEvent):
            return self._table(path)
        if isinstance(event, SequenceStartEvent):
            return self._list(path)
        return self._scalar(event)

    def _table(self, path: KeyPath) -> dict[str, Any]:
        table: dict[str, Any] = {}
        depth = len(path) + 1
        while not isinstance(key := self._next(depth), MappingEndEvent):
            if not isinstance(key, ScalarEvent):
                self._mistake(key, "expected a word as key; write key: value")
                self._skip(key, depth)
                self._skip(self._next(depth), depth)
                continue
            name = key.value
            if name == "<<" and key.style is None:
                self._mistake(key, "expected no merge key (<<); write the keys out")
                self._skip(self._next(depth), depth)
            elif name in table:
                first = self.places[(*path, name)]
                self._mistake(key, f"{quoted(name)} stands twice, first at line {first.key_line}; delete one")
                self._skip(self._next(depth), depth)
            else:
                if key.anchor is not None or key.tag is not None:
                    self._mistake(key, "expected no anchor or tag on a key; delete it")
                table[name] = self._value((*path, name), self._next(depth), key)
        return table

    def _list(self, path: KeyPath) -> tuple[Any, ...]:
        items: list[Any] = []
        while not isinstance(event := self._next(len(path) + 1), SequenceEndEvent):
            items.append(self._value((*path, len(items)), event, event))
        return tuple(items)

    def _scalar(self, event: Any) -> Any:
        text: str = event.value
        if event.style is None:
            if unseen(text) is not None:
                self._mistake(event, f"expected no control characters, got {quoted(text)}; delete them")
            return plain_scalar(text)
        if any(not (c.isprintable() or c in "\n\t") for c in text):
            self._mistake(event, f"expected no control characters, got {quoted(text)}; delete them")
        return text

    def _skip(self, event: Event, depth: int) -> None:
        """Reads past a value that lies so deep in the file."""
        inside = 0
        while True:
            inside += isinstance(event, MappingStartEvent | SequenceStartEvent)
            inside -= isinstance(event, MappingEndEvent | SequenceEndEvent)
            if inside <= 0:
                return
            event = self._next(depth + inside)


def plain_scalar(text: str) -> Any:
    """An unquoted scalar by the core schema of YAML 1.2: decimal numbers, true, false, nothing; else text."""
    if text in _WORDS:
        return _WORDS[text]
    if len(text) <= LONGEST_NUMBER:
        if _INTEGER.fullmatch(text):
            return int(text)
        if _FLOAT.fullmatch(text):
            number = float(text)
            return number if abs(number) < float("inf") else text
    return text
