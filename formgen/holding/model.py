"""Stage `holding`: the result, a form with what holds the part to it while the glue sets."""

from __future__ import annotations

from dataclasses import replace

from formgen.findings import Finding
from formgen.fixed import fixed
from formgen.form.model import Form
from formgen.holding.bending.model import Bending
from formgen.holding.bending.soft_vacuum import SoftVacuum
from formgen.holding.clamps import ClampPlan
from formgen.holding.off_form.advice import OffForm
from formgen.holding.on_form.model import OnForm
from formgen.holding.spreader_bar import BarSetting
from formgen.verdict import Verdict, judge


@fixed
class Holding(Form):
    """The form, and what holds the part to it.

    Args:
        bending: what brings the ends in and what closes them.
        soft_vacuum: the most vacuum while the plies are bent; None where no bag is round the part alone.
        clamps: one in each relief, and their order; None where there is no relief.
        bar_setting: the spreader bar's setting on the form; None where the form has no seat for one.
        on_form: how far the part lifts off the form under vacuum with most clamps off, and which stay; None unless the
            bag goes round the part alone.
        off: what becomes of the part if it leaves the form in its bag; None where it cannot.
        holding_findings: what somebody must know of all that.
        settings: by code of a finding, one value that cures it (`formgen/mending`).
    """

    bending: Bending
    soft_vacuum: SoftVacuum | None
    clamps: ClampPlan | None
    bar_setting: BarSetting | None
    on_form: OnForm | None
    off: OffForm | None
    holding_findings: tuple[Finding, ...] = ()
    settings: tuple[tuple[str, str], ...] = ()

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """The findings of every stage, in the order of the stages, each with the setting that cures it."""
        found, cures = (*super().all_findings, *self.holding_findings), dict(self.settings)
        return tuple(replace(f, setting=cures[f.code]) if f.code in cures and f.grave else f for f in found)

    @property
    def verdict(self) -> Verdict:
        """May the part be pressed on it."""
        return judge(self.all_findings)
