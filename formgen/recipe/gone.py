"""Stage `recipe`: keys that an earlier formgen knew, and the line to type instead.

In: where a key stands and what was typed. Out: the expected line, or nothing where the key never was one.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from formgen.recipe.source import KeyPath

#: By the key's place: what was typed, and the line that says the same now; an empty text stands for anything else.
GONE: Mapping[KeyPath, Mapping[str, str]] = MappingProxyType(
    {
        ("press", "form_in_bag"): {
            "true": "press.way: form-bagged",
            "false": "press.way: part-bagged",
            "": "press.way: part-bagged, form-bagged or clamped",
        }
    }
)


def line_instead(path: KeyPath, typed: str | None) -> str | None:
    """`expected press.way: form-bagged; type that instead`; None for a key that nobody ever knew."""
    lines = GONE.get(path)
    return None if lines is None else f"expected {lines.get(typed or '', lines[''])}; type that instead"
