"""Shared core: who is who: the id of a part, and the code by which paper names it.

In: names, and what was asked as plain data. Out: `opening/part#copy`, and six letters and figures. The same name and
the same asking give the same code on any day and any machine. Knows nothing of recipes.

A code holds no 0, O, 1, I or L. Five signs are a hash, one of 28 629 151; the sixth is a check. The 31 signs count as
numbers modulo 31, which is prime, and the six weights differ, so that one wrong sign is always found, and so are
two signs that changed places (the rule by which ISBN-10 is checked, modulo 11; ISO 2108, from memory).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

#: The signs of a code, in the order of what they count: figures without 0 and 1, letters without I, L and O.
SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
#: Signs of a code, the check among them.
LENGTH = 6


def part_id(opening: str, part: str = "", copy: int | None = None) -> str:
    """The id of a part.

    Args:
        opening: a recipe's name, or the mark of a schedule's row.
        part: its name within a set; none where the opening is one part.
        copy: which of several alike, from 1; None for all of them.
    """
    return f"{opening}{f'/{part}' if part else ''}{'' if copy is None else f'#{copy}'}"


def code_of(name: str, asked: Mapping[str, Any]) -> str:
    """The code on paper of a part or a form.

    Args:
        name: the id without its copy: copies are alike, and their number is written beside the code by hand.
        asked: what was asked for it, as plain data (`what_was_asked`).
    """
    said = json.dumps([name, asked], sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    number = int.from_bytes(hashlib.sha256(said.encode("utf-8")).digest()[:8], "big")
    counts = []
    for _ in range(LENGTH - 1):
        number, count = divmod(number, len(SIGNS))
        counts.append(count)
    return "".join(SIGNS[count] for count in (*counts, _check(counts)))


def code_stands(code: str) -> bool:
    """Tell whether a typed code can be one: its signs, their number, and its check; capitals do not matter."""
    signs = code.strip().upper()
    if len(signs) != LENGTH or any(sign not in SIGNS for sign in signs):
        return False
    counts = [SIGNS.index(sign) for sign in signs]
    return counts[-1] == _check(counts[:-1])


def _check(counts: list[int]) -> int:
    """The last sign's count, with which 6 a + 5 b + 4 c + 3 d + 2 e + f is a multiple of 31."""
    weighted = sum(weight * count for weight, count in zip(range(LENGTH, 1, -1), counts, strict=True))
    return -weighted % len(SIGNS)
