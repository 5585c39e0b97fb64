"""Stage `reports`: what to take care of at each step of the press day: cautions of the catalogue, warnings of this job.

In: a Holding and the key of a step. Out: cautions as the catalogue and the findings have them, each with its source.
"""

from __future__ import annotations

from collections.abc import Iterable

from formgen.findings import Finding, Severity
from formgen.holding.model import Holding
from formgen.recipe.catalogue import cautions
from formgen.reports.press_sheet.items import Care

#: Cautions, and the steps before which each stands; those for which the day has no step are left out.
_CARE: dict[str, tuple[str, ...]] = {
    "dust": ("cut",),
    "lifting": ("lay out",),
    "formaldehyde": ("glue",),
    "isocyanate": ("glue",),
    "skin": ("glue",),
    "stored-force": ("form", "ends down", "release"),
    "air-load": ("vacuum",),
    "collapse": ("vacuum",),
    "pump": ("wait",),
    "load": ("next day",),
}
#: Findings that are at least a warning, and the step before which each stands.
_WARNINGS: dict[str, str] = {
    "laminate.boards": "cut",
    "laminate.ply-strain": "dry run",
    "laminate.panel-radius": "dry run",
    "press.film-folds": "dry run",
    "press.open-time": "glue",
    "press.too-cold": "glue",
    "press.times-by-rule": "glue",
    "press.plies-gape": "vacuum",
    "press.glue-pressure": "vacuum",
    "press.vacuum-above-air": "vacuum",
    "press.vacuum-wish": "vacuum",
    "press.vacuum-weak": "vacuum",
    "press.leak": "vacuum",
    "press.pump-overcome": "vacuum",
    "press.pump-duty": "wait",
    "press.flat-spot": "clamps",
    "press.foot-no-clamp": "clamps",
    "press.closing-force": "clamps",
    "press.caul-spacing": "clamps",
    "press.caul-pressure": "clamps",
    "form.relief-pair": "clamps",
    "press.bar-tape": "clamps",
    "holding.leave-clamps-on": "clamps off",
    "press.too-stiff": "vacuum",
    "press.end-stands-off": "vacuum",
    "form.bar-off-middle": "clamps",
}
#: Notes that say what to do on the day.
_NOTES: dict[str, tuple[str, ...]] = {
    "form.stack": ("form", "onto"),
    "press.tie-blocks": ("off the form",),
    "press.wraps-form": ("release",),
    "laminate.moisture-pull-in": ("next day",),
}


def care_of(holding: Holding, key: str, brief: int) -> Iterable[Care]:
    """The cautions that stand before a step; `brief` as for the steps."""
    for name in _named(holding):
        if key in _CARE.get(name, ()):
            caution = cautions()[name]
            yield Care(text=caution.line, source=caution.source)
    for finding in holding.all_findings:
        if key in _steps_of(finding) and (brief < 2 or finding.severity is Severity.PROBLEM):
            yield Care(text=finding.message, source=finding.source.replace("_", " "))


def _named(holding: Holding) -> Iterable[str]:
    """Names of the catalogue's cautions that this job calls for, each once."""
    pressing = holding.pressing
    vacuum = pressing.vacuum.cautions if pressing.vacuum is not None else ()
    own = (*vacuum, *pressing.glue.cautions, *holding.strength.cautions, *holding.weights.cautions, "load")
    return dict.fromkeys(own)


def _steps_of(finding: Finding) -> tuple[str, ...]:
    """The steps that a finding belongs to; a problem that belongs to none stands with the first, before wood is cut."""
    if finding.severity is Severity.NOTE:
        return _NOTES.get(finding.code, ())
    known = _WARNINGS.get(finding.code)
    if known is not None:
        return (known,)
    return ("cut",) if finding.severity is Severity.PROBLEM else ()
