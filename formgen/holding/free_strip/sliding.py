"""Stage `holding`: a strip of plies that slide on each other against friction, held by pins or free.

In: lengths and pressed curvatures element by element (mm, 1/mm), stiffness and friction for each mm of depth. Out: the
shape at rest, what slides, the moments, and the pull at the pins. Knows nothing of bars or forms.
"""

from __future__ import annotations

import numpy as np

from formgen.errors import NoRestError
from formgen.holding.free_strip.plies import AtRest, SlidingStrip
from formgen.holding.free_strip.trial import Trial

#: Newton stops where moments, gaps and the friction still to be shared out, all without dimension, are below this.
RESIDUAL = 1e-9
MOST_STEPS = 80


def at_rest(strip: SlidingStrip, heading_rad: float = 0.0) -> AtRest:
    """The strip at rest between its pins, which keep the distance that the pressed curve gives them.

    Args:
        strip: the strip.
        heading_rad: heading of the pressed curve at its start.

    Raises:
        NoRestError: no shape was found.

    Assumptions:
        Thin plies, each at its distance from the next; the middle line keeps its length. Friction at every interface
        is Coulomb's under an even pressure, starts from nothing as the part leaves the form, and every
        slide goes one way: the shape is then that of least Σ ½∫EI κ² + Σ ½∫EA ε² + Σ μq∫|slip|. The slip between plies
        a distance d apart is what the middle line's turn, times d, leaves over their stretch: exact for any turn.

    Reference:
        Rate-independent friction as a minimum problem (Moreau's sliding with dissipation; from memory); planar
        elastica as least energy under an end constraint (Love, ch. XIX; from memory). Newton's method on the
        conditions of the minimum, the bound on friction kept by an interior point.
    """
    trial = Trial.start(strip, heading_rad)
    for count in range(MOST_STEPS):
        if trial.size < RESIDUAL:
            return trial.found(count)
        trial = trial.next()
    raise NoRestError(
        f"no shape at rest was found for plies of {float(np.sum(strip.lengths_mm)):.1f} mm off the form: expected ends "
        "nearer to where they are pressed; move the bar, or use thinner plies"
    )
