"""The part in two or three lines, while it is asked for.

In: a recipe. Out: lines; the pipeline's refusal is raised.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.amounts import weight_text
from formgen.findings import Severity
from formgen.findings.registry import any_case
from formgen.laminate.moisture import chord_mm
from formgen.lengths import write_fine, write_length, write_tape
from formgen.pipeline import run
from formgen.recipe.model import Recipe

#: Findings past these are left to `check`.
MOST_SHOWN = 3


def answer_lines(recipe: Recipe) -> Iterator[str]:
    """Yield plies and spring-back, the form, and what is to be mended.

    Raises:
        FormgenError: a stage that cannot go on.
    """
    form = run(recipe)
    units, laminate = recipe.units, form.laminate
    first = laminate.plies[0]
    # with s of the curvature taken back, the pressed curve is as much tighter as the part will open
    opens = chord_mm(form.arch.target, form.arch) - chord_mm(laminate.pressed, form.arch)
    yield (
        f"{len(laminate.plies)} plies of {write_fine(first.thickness_mm, units)} {first.wood}; "
        f"opens {write_tape(abs(opens), units)} at the ends when it comes off"
    )
    boxes = [layer.outline.bounds for layer in form.layers]
    wide, high = max(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)
    yield (
        f"{form.pressing.side} form of {len(form.layers)} layers, {write_length(wide, units)} x "
        f"{write_length(high, units)} x {write_length(form.depth_mm, units)}, "
        f"{weight_text(form.weights.form_kg, units)}"
    )
    grave = sorted((f for f in form.all_findings if f.grave), key=lambda f: f.severity is not Severity.PROBLEM)
    titles = list(dict.fromkeys(any_case(f.code).title for f in grave))
    more = f"; {len(titles) - MOST_SHOWN} more" if len(titles) > MOST_SHOWN else ""
    if titles:
        mark = "" if form.verdict.may else "DO NOT PRESS. "
        yield f"{mark}To look at: {'; '.join(titles[:MOST_SHOWN])}{more}"
