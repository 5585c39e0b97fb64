"""Stage `outputs`: hatches that tell the forms on a sheet apart, in print and without colour.

In: `Sheets`. Out: for each form one of a dozen hatches, the same on all its sheets and another than those of the forms
beside it as long as there are enough; the lines of one; a sample of one beside a name.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from formgen.drafting.paper import HATCH_MM, THIN_MM
from formgen.outputs.html.paint import paint
from formgen.outputs.svg import Attribute, Svg, tag
from formgen.sheets.model import CutSheet, Sheets

#: Line and gap of a hatch (mm), of one of lines in pairs, and of a wide one.
_SINGLE, _PAIRS, _WIDE = (HATCH_MM, 1.6), (HATCH_MM, 0.6, HATCH_MM, 2.2), (HATCH_MM, 3.4)
#: Each hatch: directions across which its lines run (degrees, clockwise from level), and how. The first has no lines.
_KINDS: tuple[tuple[tuple[float, ...], tuple[float, ...]], ...] = (
    ((), _SINGLE),
    ((45.0,), _SINGLE),
    ((-45.0,), _SINGLE),
    ((0.0,), _SINGLE),
    ((90.0,), _SINGLE),
    ((45.0, -45.0), _WIDE),
    ((0.0, 90.0), _WIDE),
    ((45.0,), _PAIRS),
    ((-45.0,), _PAIRS),
    ((0.0,), _PAIRS),
    ((90.0,), _PAIRS),
    ((45.0,), _WIDE),
)
COUNT = len(_KINDS)
#: The look of what is left and worth keeping.
KEPT = {**paint(fill="wash", stroke="soft"), "stroke_dasharray": "2 1.2"}


def hatches_of(sheets: Sheets) -> dict[str, int]:
    """The number of each form's hatch, by the form's name: of those free on its sheets the one least used so far."""
    beside: dict[str, set[str]] = {}
    for sheet in sheets.sheets:
        forms = forms_on(sheet)
        for form in forms:
            beside.setdefault(form, set()).update(forms)
    found: dict[str, int] = {}
    used: Counter[int] = Counter()
    for form, others in beside.items():
        taken = {found[other] for other in others if other in found}
        found[form] = min(range(COUNT), key=lambda kind: (kind in taken, used[kind], kind))
        used[found[form]] += 1
    return found


def forms_on(sheet: CutSheet) -> tuple[str, ...]:
    """The forms of which pieces lie on a sheet, in the order of the pieces."""
    return tuple(dict.fromkeys(p.part.form for p in sheet.placements))


def hatch(kind: int, reach: float) -> Iterator[Svg]:
    """The lines of a hatch over a circle round the origin; whoever draws them cuts them off.

    Each direction is one stroke as broad as the circle whose dashes are the lines: they stay lines in print, where
    browsers make a picture of dots of a pattern.
    """
    directions, dashes = _KINDS[kind]
    for direction in directions:
        yield tag(
            "path", d=f"M{-reach:.2f} 0H{reach:.2f}", transform=f"rotate({direction:g})" if direction else None,
            **paint(fill="none", stroke="wood-edge"), stroke_width=2 * reach,
            stroke_dasharray=" ".join(f"{dash:g}" for dash in dashes),
        )  # fmt: skip


def sample(kind: int | None, wide: float, high: float, **place: Attribute) -> Svg:
    """A sample of a hatch, or of what is kept, beside a name: a small picture, which cuts lines off at its edge."""
    size: dict[str, Attribute] = {"width": wide, "height": high, "stroke_width": 2 * THIN_MM}
    inside = [tag("rect", **size, **(KEPT if kind is None else paint(fill="wood")))]
    if kind is not None:
        lines = tuple(hatch(kind, (wide + high) / 2))
        inside += [tag("g", *lines, transform=f"translate({wide / 2:g} {high / 2:g})")] if lines else []
        inside += [tag("rect", **size, **paint(fill="none", stroke="ink"))]
    box = f"0 0 {wide:g} {high:g}"
    return tag("svg", *inside, viewBox=box, class_="sample", aria_hidden="true", **place)
