"""Stage `reports`: the shop drawing: at which scale, on how many sheets; written as a DXF and as a PDF.

In: a Form. Out: the bytes of `drawing.dxf` and `drawing.pdf`. Every sheet has one grid: views at the left, lists in one
column at the right, always in the same order; what does not fit goes to a further sheet, never into smaller letters. In
the drawing file the form is at full size, in the recipe's units, its datum at the origin; the paper round it is
enlarged instead, so that a measure taken there is true.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from formgen.drafting.ink import Ink, Sheet
from formgen.drafting.layout import (
    APART_MM,
    Block,
    Room,
    beside_lists,
    column_inks,
    columns,
    in_row,
    in_views,
    lefts_mm,
)
from formgen.drafting.numbers import size
from formgen.drafting.paper import SIZES_MM
from formgen.drafting.table import Table, parted
from formgen.drafting.title import Title, area, framed
from formgen.drafting.to_pdf import pdf_of
from formgen.errors import ExportError
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.outputs.dxf.paper import drawing_bytes
from formgen.reports.drawing.blocks import SCALES, Maker, written
from formgen.reports.drawing.lists import form_lists, lay_up, part_lists
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text, within_text
from formgen.reports.stamp import stamp_height_mm, stamp_inks

#: The form is at least this long beside lists, else its views take whole sheets (mm on paper).
LEAST_LONG_MM = 100.0
#: On a sheet that shows all, the form takes so much of the views' width, unless a sheet of its own shows it no larger.
FILLED = 0.5
#: On a sheet with the form the part is drawn at the form's scale, or at most so much smaller.
SMALLER = 3.0
#: Clear paper under a mark that the part must not be pressed (mm).
STAMP_CLEAR_MM = 3.0

#: Makes a view at a scale for a room, or none.
Make = Callable[..., Block | None]


@fixed
class _Page:
    """One sheet.

    Args:
        views: each with its shift.
        scales: how many mm one mm of paper stands for, of each view that is not the section.
        lists: in columns; the last stands at the right.
    """

    views: tuple[tuple[Block, tuple[float, float]], ...] = ()
    scales: tuple[float, ...] = ()
    lists: tuple[list[Table], ...] = ()


def shop_drawing(form: Holding) -> tuple[bytes, bytes]:
    """The drawing, and the same printed."""
    asked = form.recipe.asked
    sheets, ratio, origin = laid_out(form)
    return drawing_bytes(sheets, ratio, asked.units, origin), pdf_of(sheets, f"{asked.name}: shop drawing")


def laid_out(form: Holding) -> tuple[tuple[Sheet, ...], float, tuple[float, float]]:
    """The sheets, how many mm one mm of paper stands for, and where on the first the form's datum lies."""
    setting, units = form.recipe.shop.paper, form.recipe.units
    paper, third = setting.sizes(units)[-1], setting.third_angle(units)
    high, wide = SIZES_MM[paper]
    x0, _, x1, y1 = area(wide, high)
    head = stamp_height_mm(form, x1 - x0)
    room = area(wide, high, head + STAMP_CLEAR_MM if head else 0.0)
    pages = _pages(Maker(subject=Subject(form), third_angle=third), room)
    sheets = []
    for number, page in enumerate(pages, 1):
        title = Title(
            name=form.recipe.asked.name, made=title_line(form), code=code_text(form), scale=_scale_of(page),
            units=units, third_angle=third, number=number, count=len(pages), paper=paper,
        )  # fmt: skip
        inks: list[Ink] = [*framed(wide, high, title), *stamp_inks(form, x0, y1, x1 - x0)]
        inks += [ink for item, shift in page.views for ink in item.shifted(shift)]
        lefts = lefts_mm(room)
        for left, tables in zip(lefts[-len(page.lists) :] if page.views else lefts, page.lists, strict=False):
            inks += column_inks(tables, left, room)
        sheets.append(Sheet(width_mm=wide, height_mm=high, inks=tuple(inks)))
    return tuple(sheets), pages[0].scales[0], pages[0].views[0][1]


def _scale_of(page: _Page) -> str:
    """Say what the title strip shows: the section has a scale of its own."""
    if not page.views:
        return "none"
    return written(page.scales[0]) if len(page.views) == 1 else "as shown"


def _pages(maker: Maker, room: Room) -> list[_Page]:
    """All on one sheet; else form and part each on its own, beside its lists, and more sheets for more lists."""
    high, views = room[3] - room[1], beside_lists(room)
    of_form, of_part, last = form_lists(maker.subject), part_lists(maker.subject.form), lay_up(maker.subject.form)
    lists = [part for table in (*of_part, *of_form, last) for part in parted(table, high)]
    one = _together(maker, views) if len(columns(lists, high)) == 1 else None
    if one is not None and _is_large_enough(maker, one.scales[0], views):
        return [_Page(views=one.views, scales=one.scales, lists=(lists,))]
    pages: list[_Page] = []
    for make, long_mm, others, own in (
        (maker.front, maker.long_mm, (), of_form),
        (maker.part, maker.part_long_mm, (maker.section(),), (*of_part, last)),
    ):
        page, beside = _alone(maker, make, views, room, others, long_mm)
        held: list[Table] = []
        if beside:
            titles = {table.title for table in own}
            every = pages and len(columns(lists, high)) == 1  # the last sheet of views takes what is left
            held = lists if every else columns([table for table in lists if table.title in titles], high)[0]
            lists = [table for table in lists if table not in held]
        pages.append(replace(page, lists=(held,) if held else ()))
    held_all, many = columns(lists, high), len(lefts_mm(room))
    return [*pages, *(_Page(lists=tuple(held_all[i : i + many])) for i in range(0, len(held_all), many))]


def _is_large_enough(maker: Maker, ratio: float, room: Room) -> bool:
    """Tell whether the form fills its share of a room's width, or is no larger on a sheet of its own."""
    if maker.wide_mm(ratio) >= FILLED * (room[2] - room[0]):
        return True
    alone = _largest(maker, maker.front, room, ())
    return alone is None or alone.scales[0] >= ratio


def _together(maker: Maker, room: Room) -> _Page | None:
    """Form, part and section in one room, the form as large as it can be."""
    scales, section = SCALES[maker.subject.units], maker.section()
    wide, high = room[2] - room[0], room[3] - room[1]
    for i, ratio in enumerate(scales):
        least = maker.least_mm(ratio)
        roomy = least[0] + section.wide <= wide or least[1] + section.high <= high
        front = maker.front(ratio, room) if roomy else None
        if front is None or front.wide > wide or front.high > high:
            continue
        below = (0.0, 0.0, wide - APART_MM - section.wide, high - APART_MM - front.high)
        beside = (0.0, 0.0, wide - APART_MM - front.wide, high - APART_MM - section.high)
        for smaller in (scale for scale in scales[i:] if scale <= SMALLER * ratio):
            part = maker.part(smaller, below) or maker.part(smaller, beside)
            shifts = in_views((front, part, section), room) if part is not None else None
            if part is not None and shifts is not None:
                return _Page(views=tuple(zip((front, part, section), shifts, strict=True)), scales=(ratio, smaller))
    return None


def _alone(
    maker: Maker, make: Make, views: Room, room: Room, others: tuple[Block, ...], long_mm: Callable[[float], float]
) -> tuple[_Page, bool]:
    """A view on a sheet, and whether lists stand beside it; on a whole sheet where that shows it better."""
    for strict in (True, False):
        beside = _largest(maker, make, views, others, strict=strict)
        if strict and beside is not None and long_mm(beside.scales[0]) >= LEAST_LONG_MM:
            return beside, True
        whole = _largest(maker, make, room, others, strict=strict)
        if whole is not None:
            return (beside, True) if beside is not None and beside.scales == whole.scales else (whole, False)
    raise ExportError("the shop drawing fits no paper at any scale, expected one that it does; divide the part")


def _largest(maker: Maker, make: Make, room: Room, others: tuple[Block, ...], *, strict: bool = True) -> _Page | None:
    """A view at the largest scale at which it fits a room, with others of known size."""
    for ratio in SCALES[maker.subject.units]:
        made = make(ratio, room, strict=strict)
        shifts = in_row((made, *others), room) if made is not None else None
        if made is not None and shifts is not None:
            return _Page(views=tuple(zip((made, *others), shifts, strict=True)), scales=(ratio,))
    return None


def title_line(form: Holding) -> str:
    """Say how many parts, of which wood, how thick and deep, how far off they may be: the line under the name."""
    units, parts = form.recipe.units, form.makes
    off = sum(part.quantity for part in parts)
    turned = ""
    if any(part.pressing.arch.copies > 1 for part in parts):
        turned = ", the second turned over" if off == 2 else ", every second one turned over"
    woods = ", ".join(dict.fromkeys(ply.wood for part in parts for ply in part.pressing.laminate.plies))
    thick = _least_to_most([part.pressing.arch.thickness_mm for part in parts], units)
    deep = _least_to_most([part.recipe.part.depth_mm for part in parts], units)
    within = within_text(min(part.recipe.part.tolerance_mm for part in parts), units)
    return f"{off} off{turned}, {woods}, {thick} × {deep} {units}, ± {within}"


def _least_to_most(lengths_mm: list[float], units: Units) -> str:
    least, most = size(min(lengths_mm), units), size(max(lengths_mm), units)
    return least if least == most else f"{least} to {most}"
