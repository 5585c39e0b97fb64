"""Stage `curve`: the one line that says which size of an arch cannot be, in both units of the trade."""

from __future__ import annotations

from formgen.errors import CurveError
from formgen.lengths import write_length


def size(length_mm: float) -> str:
    """A length for a message: `609.60 mm (24 in)`."""
    return f"{length_mm:.2f} mm ({write_length(length_mm, 'in')})"


def impossible(key: str, got_mm: float, expected: str, remedy: str) -> CurveError:
    """The error for a size of the arch that no curve has.

    Args:
        key: the key under `part.arch`.
        got_mm: its value.
        expected: what it must be.
        remedy: what to do.
    """
    return CurveError(f"part.arch.{key} = {size(got_mm)}, expected {expected}; {remedy}")
