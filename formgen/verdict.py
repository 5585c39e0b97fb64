"""May the part be pressed on this form: the one answer that every command, file and page goes by.

In: findings of any stages. Out: a `Verdict`. A finding that is a PROBLEM says that the part will break, will not hold,
or that the form cannot be cut or used as drawn; one such finding is enough. It judges nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterable

from formgen.findings import Finding, Severity
from formgen.fixed import fixed

#: What everything carries that is written of a form with a problem.
MARK = "DO NOT PRESS"


@fixed
class Verdict:
    """The answer.

    Args:
        may: the part may be pressed: no finding is a problem.
        why: codes of the problems, each once, in the order of the stages; empty where it may.
    """

    may: bool
    why: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The answer for a column of a table."""
        return "may be pressed" if self.may else f"{MARK}: {', '.join(self.why)}"


def problems_in(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings that forbid the press, in their order."""
    return tuple(finding for finding in findings if finding.severity is Severity.PROBLEM)


def judge(findings: Iterable[Finding]) -> Verdict:
    """Return the verdict on a form with these findings."""
    why = tuple(dict.fromkeys(finding.code for finding in problems_in(findings)))
    return Verdict(may=not why, why=why)
