"""Building: kinds of arch as a schedule's cells say them, by the catalogue's own look-up, in any case.

In: a cell. Out: the kind's name in the catalogue. Which sizes a kind takes is the catalogue's too.
"""

from __future__ import annotations

from formgen.recipe import catalogue


def kind_named(text: str) -> str | None:
    """The catalogue's name of an arch; None if it knows none by these words."""
    said = "-".join(text.casefold().replace("-", " ").split())
    return next((name for name in catalogue.arches() if name.casefold() == said), None)


def needs(kind: str, size: str) -> bool:
    """Tell whether no choice of sizes settles an arch of this kind without that one."""
    arch = catalogue.arches().get(kind)
    return arch is not None and all(size in give.replace(",", " ").split() for give in arch.give)


def takes(kind: str, size: str) -> bool:
    """Tell whether an arch of this kind may be given that size."""
    arch = catalogue.arches().get(kind)
    return arch is None or any(size in give.replace(",", " ").split() for give in arch.give)
