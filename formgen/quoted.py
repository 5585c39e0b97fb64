"""What a person typed, made fit to stand in a one-line message."""

from __future__ import annotations

import unicodedata

LONGEST = 60


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
