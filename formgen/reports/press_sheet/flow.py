"""Stage `reports`: things laid out for the press-day sheet, flowed through the columns of its sides by platypus.

In: things of known height, and the rooms of the sides. Out: pages; mm, since each page's unit is set before it is
drawn. Imported when the sheet is made: platypus takes longer to load than the sheet to draw.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, NextPageTemplate, PageBreak, PageTemplate

from formgen.drafting.paper import PT_PER_MM, THIN_MM, begin_page, face_size, new_canvas
from formgen.fixed import fixed
from formgen.reports.press_sheet.laid import Laid

#: (x, y of the lower edge, width, height) of a column on its side.
Room = tuple[float, float, float, float]
#: The side that a column stands on, its height and what of it is left blank (mm).
Column = tuple[int, float, float]
#: Draws what stands above the columns of a side, on a canvas, by the side's number.
Head = Callable[[Any, int], None]


class Part(Flowable):  # type: ignore[misc]
    """Something laid out, as tall as it says, with white before it where it does not begin a column.

    Args:
        laid: the thing.
        before_mm: the white.
        shown: draw it; else it only takes its room.
        ruled: a line across the middle of that white, where there is one.
    """

    def __init__(self, laid: Laid, before_mm: float = 0.0, *, shown: bool = True, ruled: bool = False) -> None:
        super().__init__()
        self.laid, self.shown, self.ruled = laid, shown, ruled
        self.spaceBefore = before_mm

    def wrap(self, avail_width_mm: float, _avail_height_mm: float) -> tuple[float, float]:
        """Width and height that it takes."""
        return avail_width_mm, self.laid.height_mm

    def draw(self) -> None:
        """Put it on the page, its lower left corner at the origin."""
        if self.shown:
            draw(self.canv, self.laid, self.laid.height_mm)


class _Column(Frame):  # type: ignore[misc]
    """A column that draws the lines between its parts, and knows how far each page filled it.

    Args:
        room: where it stands.
    """

    def __init__(self, room: Room) -> None:
        super().__init__(*room, leftPadding=0, bottomPadding=0, rightPadding=0, topPadding=0)
        self.room = room
        self.blank: dict[int, float] = {}

    def add(self, flowable: Any, canvas: Any, trySplit: int = 0) -> int:
        """Put it below what is there, if it fits."""
        first = self._atTop
        fitted = int(super().add(flowable, canvas, trySplit))
        if fitted and isinstance(flowable, Part):
            self.blank[canvas.getPageNumber()] = self._y - self.room[1]
            if flowable.ruled and not first:
                up = self._y + flowable.laid.height_mm + flowable.spaceBefore / 2.0
                canvas.setLineWidth(THIN_MM)
                canvas.line(self.room[0], up, self.room[0] + self.room[2], up)
        return fitted


def together(parts: Sequence[Part], first: int | None = None) -> list[Flowable]:
    """Parts of which all, or so many of the first, stay in one column where one column holds them."""
    return [KeepTogether(list(parts[:first])), *(parts[first:] if first is not None else ())]


def draw(canvas: Any, laid: Laid, page_mm: float) -> None:
    """Put it on the page, whose height turns down into up."""
    for rule in laid.rules:
        canvas.setLineWidth(rule.width_mm)
        canvas.line(rule.x0_mm, page_mm - rule.y0_mm, rule.x1_mm, page_mm - rule.y1_mm)
    for word in laid.words:
        canvas.setFont(word.face, face_size(word.capital_mm))
        canvas.drawString(word.x_mm, page_mm - word.y_mm, word.text)


@fixed
class Pages:
    """A document.

    Args:
        content: its bytes.
        count: its pages.
        columns: each that holds something, in order.
    """

    content: bytes
    count: int
    columns: tuple[Column, ...]


def pages(
    size_mm: tuple[float, float],
    title: str,
    sides: Sequence[Sequence[Room]],
    parts: Sequence[Flowable],
    lists: Sequence[Flowable] = (),
    head: Head = lambda *_: None,
) -> Pages:
    """Things flowed through sides.

    Args:
        size_mm: width and height of the paper.
        title: of the document.
        sides: rooms of the columns of the first side, of each further one, the last for all that follow.
        parts: what flows through the columns.
        lists: what flows through the pages behind, one column within the margins of the last side.
        head: draws what stands above the columns of a side.
    """
    held = io.BytesIO()
    paper = [side * PT_PER_MM for side in size_mm]
    document = BaseDocTemplate(held, pagesize=paper, title=title, creator="formgen", printScaling="None")
    names, columns = ("first", "further", "lists"), list[_Column]()
    for name, rooms, after in zip(names, sides, ("further", "further", "lists"), strict=True):
        frames = [_Column(room) for room in rooms]
        columns += frames
        begin = partial(_begin, None if name == "lists" else head)
        document.addPageTemplates(PageTemplate(name, frames, onPage=begin, autoNextPageTemplate=after))
    behind = [NextPageTemplate("lists"), PageBreak(), *lists] if lists else []
    document.build([*parts, *behind], canvasmaker=lambda *_, **__: new_canvas(held, *size_mm, title))
    return Pages(content=held.getvalue(), count=int(document.page), columns=_filled(columns))


def _filled(columns: Sequence[_Column]) -> tuple[Column, ...]:
    """Columns with what each page left blank of them, in the order of the pages."""
    found = [(side, column.room[3], blank) for column in columns for side, blank in column.blank.items()]
    return tuple(sorted(found, key=lambda one: one[0]))


def _begin(head: Head | None, canvas: Any, document: Any) -> None:
    begin_page(canvas)
    if head is not None:
        head(canvas, document.page)
