"""Stage `holding`: a form that must not be pressed: why, in words, and the mark on its pieces.

In: findings, or a form. Out: sentences with their value and limit; the form with DO NOT PRESS on each piece. Whether it
must not be pressed is decided by the findings alone (`formgen/verdict.py`), so that the same recipe gives the same
bytes and no file of such a form can be without the mark.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace

from formgen.findings import Finding
from formgen.findings.wording import numbers_text
from formgen.form.model import Form
from formgen.form.stage import make_form
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.verdict import MARK, judge, problems_in

#: What a person types to have it all the same.
OPTION = "--anyway"
#: Longest line of a note in a drawing, in letters.
LETTERS = 96


def reason(finding: Finding, units: Units) -> str:
    """Return what is wrong, what to do, and in brackets the value and its limit."""
    numbers = numbers_text(finding, units)
    return f"{finding.message.rstrip('.')} ({numbers})." if numbers else f"{finding.message.rstrip('.')}."


def reasons(findings: Sequence[Finding], units: Units) -> tuple[str, ...]:
    """Return the reason of each problem, each once, in the order of the stages."""
    return tuple(dict.fromkeys(reason(finding, units) for finding in problems_in(findings)))


def refusal(findings: Sequence[Finding], units: Units) -> str:
    """Return the one line with which a form is refused: the first problem, how many more, and how to have it anyway."""
    first, *others = problems_in(findings)
    more = tuple(dict.fromkeys(finding.code for finding in others))
    also = f"; also {', '.join(more)}" if more else ""
    return f"{reason(first, units).rstrip('.')}{also}; {OPTION} builds it, marked {MARK}"


def mark_lines(form: Form, letters: int = LETTERS) -> tuple[str, ...]:
    """Return the notes that a drawing of the form carries: the mark and the reasons; none where it may be pressed.

    Args:
        form: with all its findings.
        letters: longest line.
    """
    units = form.recipe.units
    return noted(reasons(form.all_findings, units), letters)


def noted(found: Sequence[str], letters: int = LETTERS) -> tuple[str, ...]:
    """Return the mark and reasons as lines of a note; none where there is no reason."""
    if not found:
        return ()
    return (MARK, *(line for said in found for line in textwrap.wrap(said, letters)))


def with_mark(form: Holding) -> Holding:
    """Return the form with the mark among the words on each piece, or as it is where the part may be pressed.

    Raises:
        FormError: a piece too small to be labelled.
    """
    if judge(form.all_findings).may:
        return form
    return replace(form, layers=make_form(form.pressing, do_not_press=True).layers)
