"""Stage `reports`: what to take care of at each step of the press day: cautions of the catalogue, warnings of this job.

In: a Form and the key of a step. Out: sentences, as the catalogue and the findings have them.
"""

from __future__ import annotations

from collections.abc import Iterable

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.recipe.catalogue import cautions

#: Cautions, and the step that each belongs to.
_CARE: dict[str, str] = {
    "dust": "cut",
    "lifting": "lay out",
    "formaldehyde": "glue",
    "isocyanate": "glue",
    "skin": "glue",
    "collapse": "vacuum",
    "stored-force": "release",
    "air-load": "vacuum",
    "pump": "wait",
    "load": "measure",
}
#: Findings, and the step that each belongs to, where they are at least a warning.
_WARNINGS: dict[str, str] = {
    "laminate.ply-strain": "dry run",
    "laminate.panel-radius": "dry run",
    "laminate.boards": "cut",
    "press.end-stands-off": "dry run",
    "press.too-stiff": "vacuum",
    "press.plies-gape": "vacuum",
    "press.glue-not-chosen": "glue",
    "press.open-time": "glue",
    "press.too-cold": "glue",
    "press.times-by-rule": "glue",
    "press.glue-pressure": "vacuum",
    "press.vacuum-above-air": "vacuum",
    "press.vacuum-wish": "vacuum",
    "press.vacuum-weak": "vacuum",
    "press.leak": "vacuum",
    "press.pump-duty": "wait",
    "press.pump-overcome": "vacuum",
    "press.flat-spot": "clamps",
    "press.foot-no-clamp": "clamps",
    "press.closing-force": "clamps",
    "press.caul-spacing": "clamps",
    "press.caul-pressure": "clamps",
    "press.film-folds": "dry run",
    "form.bar-off-middle": "bar",
}
#: Notes that say what to do on the day.
_NOTES: dict[str, str] = {
    "form.stack": "dry run",
    "press.wraps-form": "release",
    "laminate.moisture-pull-in": "measure",
}


def care_of(form: Holding, key: str, brief: int) -> Iterable[str]:
    """The sentences that belong to a step; `brief` as for the steps."""
    pressing = form.pressing
    vacuum = () if pressing.vacuum is None else pressing.vacuum.cautions
    own = (*vacuum, *pressing.glue.cautions, *form.strength.cautions, *form.weights.cautions)
    names = (*own, "load")
    for name in dict.fromkeys(names):
        if _CARE.get(name) == key:
            yield cautions()[name].line
    for finding in form.all_findings:
        if _step_of(finding) == key and (brief < 2 or finding.severity is Severity.PROBLEM):
            yield finding.message


def _step_of(finding: Finding) -> str | None:
    """The step that a finding belongs to; a problem that belongs to none stands with the first, before wood is cut."""
    if finding.severity is Severity.NOTE:
        return _NOTES.get(finding.code)
    return _WARNINGS.get(finding.code, "cut" if finding.severity is Severity.PROBLEM else None)
