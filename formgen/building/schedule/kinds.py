"""Building: kinds of arch as a schedule's cells say them, by the catalogue's own look-up: other names, in any case.

In: a cell. Out: the kind's name in the catalogue.
"""

from __future__ import annotations

from formgen.recipe import catalogue
from formgen.recipe.names import proper


def kind_named(text: str) -> str | None:
    """The catalogue's name of an arch; None if it knows none by these words."""
    return proper(text, (), catalogue.ARCH.said())
