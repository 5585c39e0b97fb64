"""Mending: what to try for which finding.

A finding that no one value cures has no row: what must be measured, bought or decided stays with whoever does it. A
tolerance is never widened, and a part never made another one, to be rid of a warning.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from formgen.findings import Finding
from formgen.holding.model import Holding
from formgen.laminate.bend import NEAR_SHARE
from formgen.mending import body, plies, press
from formgen.mending.trial import Try, length, word
from formgen.press.caul import spacing_for_mm
from formgen.recipe.figures import figure

Way = Callable[[Holding, Finding], Iterator[Try]]


def _past_limit(power: float, share: float = 1.0) -> Way:
    """More plies, where the number found falls with their number to that power."""

    def tried(form: Holding, found: Finding) -> Iterator[Try]:
        if found.value and found.limit:
            yield from plies.thinner(form, (found.value / (share * found.limit)) ** (1.0 / power))

    return tried


def _panels(form: Holding, _found: Finding) -> Iterator[Try]:
    yield from plies.other_panels(form)


def _mitre(form: Holding, found: Finding) -> Iterator[Try]:
    yield length("part.end_trim", found.value or 0.0, form.recipe.units)


def _moisture(_form: Holding, _found: Finding) -> Iterator[Try]:
    yield word("laminate.allow_for_moisture", value=True)


def _quicker(form: Holding, found: Finding) -> Iterator[Try]:
    """Fewer glue lines are laid up sooner; bending, bagging and pumping take their time all the same."""
    glue, shop = form.pressing.glue, form.recipe.shop
    line_min = glue.line_m2 / (figure("laying_m2_per_min", shop).value * shop.people)
    too_long_min = (found.value or 0.0) - (found.limit or 0.0)
    yield from plies.fewer(form, 1 + glue.lines - math.ceil(too_long_min / line_min))


def _stronger(form: Holding, found: Finding) -> Iterator[Try]:
    """Clamps closer together press harder."""
    caul, part = form.pressing.caul, form.recipe.part
    if caul is not None and found.limit:
        jaw = form.recipe.shop.clamp.jaw_mm
        mm = spacing_for_mm(found.limit, caul.clamp_n, part.pressed_depth_mm, jaw, caul.caul_mm)
        yield from body.closer_clamps(form, mm)


#: By code, in the order of the stages. Values are tried in the order in which they come; the first that works is kept.
WAYS: Mapping[str, Way] = {
    "curve.mitre-trim": _mitre,
    "laminate.ply-strain": _past_limit(1.0, NEAR_SHARE),
    "laminate.panel-radius": _panels,
    "laminate.moisture-pull-in": _moisture,
    "laminate.structural-radius": _past_limit(1.0),
    "laminate.boards": _past_limit(1.0),
    "press.film-folds": press.other_side,
    "press.vacuum-above-air": press.what_is_held,
    "press.vacuum-wish": press.what_is_held,
    "press.vacuum-weak": press.enough_vacuum,
    "press.pump-overcome": press.fewer_bags,
    "press.pump-duty": press.fewer_bags,
    "press.too-stiff": _past_limit(2.0),
    "press.end-stands-off": press.longer_plies,
    "press.plies-gape": _past_limit(0.75),
    "press.glue-pressure": _past_limit(0.75),
    "press.open-time": _quicker,
    "form.no-channel": body.thinner_sheet,
    "form.heavy": body.lighter,
    "form.relief-pair": body.usual_backing,
    "form.relief-none": body.usual_backing,
    "form.relief-dropped": body.usual_backing,
    "form.bar-face": body.lower_bar,
    "form.gives": body.stiffer,
    "form.breaks": body.stiffer,
    "form.hollow": body.whole_body,
    "press.closing-force": _past_limit(2.0),
    "press.caul-spacing": body.within_reach,
    "press.caul-pressure": _stronger,
}
