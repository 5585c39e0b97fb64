"""Stage `reports`: one step of a press day as plain data."""

from __future__ import annotations

from formgen.fixed import fixed
from formgen.reports.press_sheet.items import Care, Item


@fixed
class Step:
    """One step.

    Args:
        key: what the step is, for whoever looks for it; see `day.py`.
        title: as it stands over the step.
        items: what to do, read and write down, in order.
        cautions: what to take care of; they stand before the step.
    """

    key: str
    title: str
    items: tuple[Item, ...]
    cautions: tuple[Care, ...] = ()
