"""What a person typed, made fit to stand in a one-line message."""

from __future__ import annotations

LONGEST = 60


def quoted(value: object) -> str:
    """The value in double quotes: control characters escaped, cut at 60 characters."""
    return f'"{escaped(value)}"'


def escaped(value: object) -> str:
    """The same without the quotes."""
    text = str(value)
    safe = "".join(_visible(c) for c in text[:LONGEST])
    return f"{safe}…" if len(text) > LONGEST else safe


def _visible(character: str) -> str:
    """The character, or its escape where a terminal might act on it or show nothing."""
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
