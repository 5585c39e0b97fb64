"""Stage `reports`: the strip of small pictures at the head of the press-day sheet: at most six, for the way at hand.

In: a Holding and its steps. Out: pictures with their captions, laid out in one row or two.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from formgen.drafting.paper import TEXT_MM, face_size
from formgen.drafting.text import fitting, showable
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.reports.press_sheet import facts, pictures, told
from formgen.reports.press_sheet.items import Step
from formgen.reports.press_sheet.scene import Box, bounds_of
from formgen.reports.press_sheet.shapes import Shapes, ring

#: Most pictures in a row; white between them; the caption below; greatest and least height of a picture (mm).
MOST_IN_A_ROW, BETWEEN_MM, CAPTION_MM, HIGH_MM, LEAST_HIGH_MM = 4, 5.0, 4.6, 25.0, 22.0

#: Pictures of what the steps say in words, the first to go where paper is short.
SAID_TOO = (pictures.bag_section, pictures.pair_close_up, pictures.whole)

Draw = Callable[[Shapes, Any, Box], None]


@fixed
class Picture:
    """One small picture.

    Args:
        step: number of the step that it belongs to.
        caption: what is done there.
        draw: puts it on a canvas, into a cell of the page.
    """

    step: int
    caption: str
    draw: Draw


def pictures_of(holding: Holding, steps: Sequence[Step], *, few: bool = False) -> tuple[Picture, ...]:
    """The pictures of the way at hand, in the order of the steps; with `few` those that one row holds."""
    at = {step.key: number for number, step in enumerate(steps, start=1)}
    chosen = {"part-bagged": _part_bagged, "form-bagged": _form_bagged, "clamped": _clamped}[facts.way(holding)]
    made = tuple(Picture(step=at[key], caption=text, draw=draw) for key, text, draw in chosen(holding))
    if not few or len(made) <= MOST_IN_A_ROW:
        return made
    said = [i for i, one in enumerate(made) if one.draw in SAID_TOO]
    left_out = said[: len(made) - MOST_IN_A_ROW]
    return tuple(one for i, one in enumerate(made) if i not in left_out)


def _part_bagged(holding: Holding) -> list[tuple[str, str, Draw]]:
    first: list[tuple[str, str, Draw]] = [
        ("glue", "stack and mark", pictures.stack_and_mark),
        ("bag", "bag and breather, just snug", pictures.bag_section),
        ("form", "over the form", pictures.over_the_form),
        ("clamps", "clamps, labelled side", pictures.clamps_on),
    ]
    if facts.comes_off(holding):
        return [
            *first,
            ("off the form", f"full vacuum, then the {told.bar_word(holding)}", pictures.whole),
            ("off the form", "off the form, measured", pictures.measured_off),
        ]
    if not facts.clamps_come_off(holding):
        return first
    close_up: list[tuple[str, str, Draw]] = (
        [("clamps off", "where the pair stays", pictures.pair_close_up)] if facts.stays(holding) else []
    )
    return [*first, *close_up, ("wait", "what holds it", pictures.whole)]


def _form_bagged(holding: Holding) -> list[tuple[str, str, Draw]]:
    return [
        ("glue", "stack and mark", pictures.stack_and_mark),
        ("onto", "form and part, one bag", pictures.form_and_bag),
        ("ends down", f"ends {told.inward(holding)} by hand", pictures.over_the_form),
        ("vacuum", "then full vacuum", pictures.drawn_down),
    ]


def _clamped(_holding: Holding) -> list[tuple[str, str, Draw]]:
    return [
        ("glue", "stack and mark", pictures.stack_and_mark),
        ("form", "over the form", pictures.over_the_form),
        ("clamps", "clamps, labelled side; all stay", pictures.clamps_on),
    ]


def strip_height_mm(holding: Holding, shown: Sequence[Picture], width_mm: float) -> float:
    """Paper that the strip takes."""
    rows = -(-len(shown) // _in_a_row(shown))
    return rows * (_high_mm(holding, _each_mm(shown, width_mm)) + CAPTION_MM + 1.0)


def draw_strip(
    canvas: Any, holding: Holding, shown: Sequence[Picture], corner: tuple[float, float], width_mm: float
) -> None:
    """The pictures in rows, from an upper left corner of the page down."""
    each, shapes = _each_mm(shown, width_mm), Shapes(holding=holding)
    high = _high_mm(holding, each)
    for i, picture in enumerate(shown):
        row, column = divmod(i, _in_a_row(shown))
        x0 = corner[0] + column * (each + BETWEEN_MM)
        y1 = corner[1] - row * (high + CAPTION_MM + 1.0)
        picture.draw(shapes, canvas, (x0, y1 - high, x0 + each, y1))
        text = showable(f"{picture.step}  {picture.caption}")
        letter, face = fitting(text, each, (TEXT_MM,))
        canvas.setFont(face, face_size(letter))
        canvas.drawString(x0, y1 - high - CAPTION_MM + 1.4, text)


def _in_a_row(shown: Sequence[Picture]) -> int:
    """Four fit side by side; five or six stand in two rows of three."""
    return len(shown) if len(shown) <= MOST_IN_A_ROW else 3


def _each_mm(shown: Sequence[Picture], width_mm: float) -> float:
    return (width_mm - (_in_a_row(shown) - 1) * BETWEEN_MM) / _in_a_row(shown)


def _high_mm(holding: Holding, each_mm: float) -> float:
    """As high as the form on its scale wants, within bounds."""
    shapes = Shapes(holding=holding)
    x0, y0, x1, y1 = bounds_of([*shapes.form, *ring(shapes.blank, shapes.half_mm)])
    return min(max((each_mm - 22.0) * (y1 - y0) / (x1 - x0) + 16.0, LEAST_HIGH_MM), HIGH_MM)
