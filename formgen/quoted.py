"""Quoting: text that a person typed, made fit to stand in a one-line message."""

from __future__ import annotations

import re
import unicodedata

LONGEST = 60
#: On which a screen acts: a control, an end of line, a turn of direction.
ACTS = re.compile("[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


def quoted(value: object) -> str:
    """The value in double quotes: control characters escaped, cut at 60 characters."""
    return f'"{escaped(value)}"'


def escaped(value: object) -> str:
    """The same without the quotes."""
    text = str(value)
    safe = visible(text[:LONGEST])
    return f"{safe}…" if len(text) > LONGEST else safe


def visible(value: object) -> str:
    """The whole of it, control characters escaped: a path in a message."""
    return "".join(_visible(c) for c in str(value))


def shown(text: object) -> str:
    """A message of several lines on which no screen acts but by ending them."""
    return ACTS.sub(lambda found: found[0] if found[0] == "\n" else _visible(found[0]), str(text))


def unseen(text: str) -> str | None:
    """The first character on which a screen or a printer might act, or which shows nothing; None if there is none.

    Spaces of every width, tabs and ends of lines are none: spreadsheets put them in cells.
    """
    return next((c for c in text if not (c.isprintable() or c in "\t\n\r" or unicodedata.category(c) == "Zs")), None)


def _visible(character: str) -> str:
    """The character, or its escape where a terminal might act on it or show nothing."""
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
