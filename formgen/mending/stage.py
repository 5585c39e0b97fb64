"""Mending: the settings of a form: for each warning and problem that one value cures, what to paste after `--set`.

In: a Holding. Out: the same, with the settings by code. Nothing is tried where nothing is wrong, and only what `ways`
knows; a value stands here because the stages were made again with it and the finding was gone.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.mending.trial import Trials
from formgen.mending.ways import WAYS

#: So many values are tried for one finding.
MOST_TRIED = 8


def with_settings(form: Holding) -> Holding:
    """Return the form with a setting for each finding that one value cures.

    A form for several openings has none: no one recipe asks for it.
    """
    if form.recipe.makes:
        return form
    known = [found for found in form.all_findings if found.grave and found.code in WAYS]
    if not known:
        return form
    trials = Trials(form)
    settings: dict[str, str] = {}
    for found in sorted(known, key=lambda one: one.severity is not Severity.PROBLEM):
        if found.code not in settings:
            settings[found.code] = _setting(trials, found)
    return replace(form, settings=tuple((code, setting) for code, setting in settings.items() if setting))


def _setting(trials: Trials, found: Finding) -> str:
    """The first value that works, or nothing."""
    tried = islice(WAYS[found.code](trials.form, found), MOST_TRIED)
    return next((one.setting for one in tried if trials.works(found.code, one)), "")
