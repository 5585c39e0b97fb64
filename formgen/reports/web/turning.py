"""Stage `reports`: the form as a picture that turns, with a still one that stands in where a browser cannot.

In: a Form. Out: a figure. The still picture is there from the start; `view.js` takes its place once it can draw, and
brings the buttons with it. Whatever the pointer does the keys and buttons do too.
"""

from __future__ import annotations

from formgen.holding.model import Holding
from formgen.outputs.picture import svg
from formgen.reports.web.markup import data_block
from formgen.reports.web.solid_model import solid_model

#: What the page must run for it.
SCRIPT = "view.js"
_TURNS = (
    ("left", "Turn left"),
    ("right", "Turn right"),
    ("up", "Tip up"),
    ("down", "Tip down"),
    ("larger", "Larger"),
    ("smaller", "Smaller"),
    ("reset", "As at first"),
)


def turning_figure(form: Holding) -> str:
    """The figure, its buttons and its numbers."""
    turns = "".join(f'<button type="button" data-do="{do}">{said}</button>' for do, said in _TURNS)
    numbers = [layer.number for layer in form.layers]
    shown = "".join(
        f'<button type="button" aria-pressed="true" data-layer="{n}" aria-label="Layer {n}">{n}</button>'
        for n in numbers
    )
    return (
        '<figure class="turning" id="turning">'
        '<canvas hidden tabindex="0" role="application" aria-label="The form as a picture that turns: arrow keys turn '
        'and tip it, plus and minus change its size, Home puts it back."></canvas>'
        f'<div class="picture">{svg(form)}</div>'
        '<div class="tools" hidden>'
        f'<div role="group" aria-label="Layers shown"><span>Layers</span>{shown}'
        '<button type="button" aria-pressed="true" data-layer="part">Part</button>'
        '<button type="button" data-do="all">All</button></div>'
        '<label>Pull apart <input type="range" min="0" max="100" value="0" id="apart"></label>'
        f'<div role="group" aria-label="View">{turns}</div></div>'
        "<figcaption>The stack with its front face on the bench, layer 1 lowest. "
        '<span class="how" hidden>Drag to turn; the part lies on the form as it is pressed.</span></figcaption>'
        f"</figure>{data_block('model', solid_model(form))}"
    )
