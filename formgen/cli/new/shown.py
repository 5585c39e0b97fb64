"""The part in a few lines, while it is asked for: the first answers of `check`, and what is to be mended.

In: a recipe. Out: lines; the pipeline's refusal is raised.
"""

from __future__ import annotations

from collections.abc import Iterator

from formgen.answers import answers
from formgen.cli.screen import to_mend
from formgen.pipeline import run
from formgen.recipe.model import Recipe

#: Findings past these are left to `check`.
MOST_SHOWN = 3


def answer_lines(recipe: Recipe) -> Iterator[str]:
    """Yield the verdict, plies, spring-back and form, and what is to be mended.

    Raises:
        FormgenError: a stage that cannot go on.
    """
    form = run(recipe)
    found = answers(form)
    yield found.verdict
    yield from (f"{head:11}  {text}" for head, text in list(found.rows())[:3])
    titles = list(dict.fromkeys(finding.title for finding in to_mend(form.all_findings)))
    more = f"; {len(titles) - MOST_SHOWN} more" if len(titles) > MOST_SHOWN else ""
    if titles:
        yield f"To look at: {'; '.join(titles[:MOST_SHOWN])}{more}"
