"""Tools of somebody who tampers with a finished folder: knows JSON, DXF, STL and links, and imports nothing of formgen.

A trick changes a folder that stood whole, and says which exit code `verify` must answer with.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

RECORD = "job.json"
#: Exit codes that the program promises: files differ, files cannot be read, agrees as far as compared.
DIFFERS, UNREAD, PARTLY = 3, 4, 5


@dataclass(frozen=True)
class Trick:
    """One way of tampering.

    Args:
        name: what is done.
        does: changes the folder.
        code: what `verify` must answer.
        says: words that its answer must hold.
    """

    name: str
    does: Callable[[Path], None]
    code: int = DIFFERS
    says: str = ""


def record_of(folder: Path) -> dict[str, Any]:
    """The job record."""
    record: dict[str, Any] = json.loads((folder / RECORD).read_text("utf-8"))
    return record


def put_record(folder: Path, record: Any) -> None:
    """Write the record as the program writes it."""
    (folder / RECORD).write_text(json.dumps(record, indent=1, ensure_ascii=False) + "\n", "utf-8")


def reseal(folder: Path) -> None:
    """Hashes of all files as they are now: only what files hold can tell."""
    record = record_of(folder)
    for name in record["files"]:
        content = (folder / name).read_bytes()
        record["files"][name] = {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
    put_record(folder, record)


def other_versions(folder: Path) -> None:
    """The record says that other libraries wrote the files, so that nobody need wonder about their bytes."""
    record = record_of(folder)
    record["versions"] = dict.fromkeys(record["versions"], "9.9.9")
    put_record(folder, record)


def at(record: Any, *path: str | int) -> Any:
    """What stands in a record under a path."""
    for step in path:
        record = record[step]
    return record


def in_record(change: Callable[[dict[str, Any]], object]) -> Callable[[Path], None]:
    """A change of the record's table."""

    def does(folder: Path) -> None:
        record = record_of(folder)
        change(record)
        put_record(folder, record)

    return does


def in_text(old: str, new: str) -> Callable[[Path], None]:
    """A change of the record's text; the old text must be there."""

    def does(folder: Path) -> None:
        text = (folder / RECORD).read_text("utf-8")
        assert old in text, old
        (folder / RECORD).write_bytes(text.replace(old, new, 1).encode("utf-8", "surrogatepass"))

    return does


def in_file(name: str, change: Callable[[bytes], bytes], *, versions: bool = False) -> Callable[[Path], None]:
    """A change of a file together with its hash, and with the versions if asked."""

    def does(folder: Path) -> None:
        path = folder / name
        before = path.read_bytes()
        after = change(before)
        assert after != before, f"{name} was not changed"
        path.write_bytes(after)
        reseal(folder)
        if versions:
            other_versions(folder)

    return does


Tag = tuple[int, str]


def tags(content: bytes) -> list[Tag]:
    """Group codes and values of a DXF file."""
    lines = content.decode("utf-8").split("\n")
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False)]


def drawing(held: list[Tag]) -> bytes:
    """A DXF file of these tags."""
    return "".join(f"{code:3d}\n{value}\n" for code, value in held).encode()


def on_tags(change: Callable[[list[Tag]], None]) -> Callable[[bytes], bytes]:
    """A change of a drawing's tags."""

    def changed(content: bytes) -> bytes:
        held = tags(content)
        change(held)
        return drawing(held)

    return changed


def entity(held: list[Tag], kind: str, nth: int = 0) -> tuple[int, int]:
    """Where the nth entity of a kind begins and ends in the drawing's ENTITIES section."""
    begin = held.index((2, "ENTITIES"))
    starts = [i for i in range(begin, len(held)) if held[i] == (0, kind)]
    first = starts[nth]
    return first, next(i for i in range(first + 1, len(held)) if held[i][0] == 0)


def say_more(kind: str, *more: Tag) -> Callable[[bytes], bytes]:
    """The first entity of a kind gets more tags at its end (before extended data)."""

    def change(held: list[Tag]) -> None:
        first, end = entity(held, kind)
        end = next((i for i in range(first, end) if held[i][0] >= 1000), end)
        held[end:end] = more

    return on_tags(change)


def say_other(kind: str, code: int, value: str, nth: int = 0) -> Callable[[bytes], bytes]:
    """The nth value of a group code in the first entity of a kind becomes another."""

    def change(held: list[Tag]) -> None:
        first, end = entity(held, kind)
        where = [i for i in range(first, end) if held[i][0] == code][nth]
        held[where] = (code, value)

    return on_tags(change)


def entry(held: list[Tag], kind: str, name: str) -> tuple[int, int]:
    """Where a named entry of a table begins and ends."""
    first = next(i for i in range(len(held)) if held[i] == (0, kind) and (2, name) in held[i : i + 9])
    return first, next(i for i in range(first + 1, len(held)) if held[i][0] == 0)


def drilling(held: list[Tag]) -> str:
    """The layer of the first circle, whatever the shop calls it."""
    first, end = entity(held, "CIRCLE")
    return next(value for code, value in held[first:end] if code == 8)


def in_table(kind: str, name: str, code: int, value: str) -> Callable[[bytes], bytes]:
    """A value of a table entry becomes another, or is said in addition; the drilling layer where no name is given."""

    def change(held: list[Tag]) -> None:
        first, end = entry(held, kind, name or drilling(held))
        where = next((i for i in range(first, end) if held[i][0] == code), None)
        if where is None:
            held.insert(end, (code, value))
        else:
            held[where] = (code, value)

    return on_tags(change)
