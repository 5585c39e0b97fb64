"""Every way to part a list, for brute force on small cases."""

from __future__ import annotations

from collections.abc import Iterator


def partitions(items: list[int]) -> Iterator[list[list[int]]]:
    """Every partition of a list (Bell numbers: 877 of seven items)."""
    if not items:
        yield []
        return
    first, *rest = items
    for smaller in partitions(rest):
        for i, group in enumerate(smaller):
            yield [*smaller[:i], [first, *group], *smaller[i + 1 :]]
        yield [[first], *smaller]
