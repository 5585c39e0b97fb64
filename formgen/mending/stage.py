"""Mending: the settings of a form: for each warning and problem that one value cures, what to paste after `--set`.

In: a Holding. Out: the same, with the settings by code. Nothing is tried where nothing is wrong, and only what `ways`
knows; a value stands here because the stages were made again with it and the finding was gone.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.mending.trial import works
from formgen.mending.ways import WAYS

#: So many values are tried for one finding.
MOST_TRIED = 8


def with_settings(form: Holding) -> Holding:
    """Return the form with a setting for each finding that one value cures.

    A form for several openings has none: no one recipe asks for it.
    """
    if form.recipe.makes:
        return form
    worst: dict[str, Finding] = {}
    for found in form.all_findings:
        if found.severity is not Severity.NOTE and found.code in WAYS:
            worst.setdefault(found.code, found)
    settings = tuple((code, setting) for code, found in worst.items() if (setting := _setting(form, found)))
    return replace(form, settings=settings) if settings else form


def _setting(form: Holding, found: Finding) -> str:
    """The first value that works, or nothing."""
    tried = islice(WAYS[found.code](form, found), MOST_TRIED)
    return next((one.setting for one in tried if works(form, found.code, one)), "")
