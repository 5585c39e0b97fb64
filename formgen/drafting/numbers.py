"""Drafting: sizes as a drawing writes them: without their unit, which the title block names once.

In: mm. Out: text. Inches to the nearest 1/64, mm to 0.1, thicknesses as a caliper shows them.
"""

from __future__ import annotations

from formgen.lengths import Units, write_fine, write_length


def size(mm: float, units: Units) -> str:
    """A size: `18 31/64`, or `471.1`; whole mm without a point."""
    text = write_length(mm, units).removesuffix(f" {units}")
    return text.removesuffix(".0") if units == "mm" else text


def fine(mm: float, units: Units) -> str:
    """A thickness: `0.746`, or `18.10`."""
    return write_fine(mm, units).removesuffix(f" {units}")


def said(mm: float, units: Units) -> str:
    """A size with its unit, for a sentence: `18 31/64 in`, `471.1 mm`."""
    return f"{size(mm, units)} {units}"
