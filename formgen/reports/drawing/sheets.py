"""Stage `reports`: the shop drawing: which paper, which scale, one page or two; written as a DXF and as a PDF.

In: a Form. Out: the bytes of `drawing.dxf` and `drawing.pdf`. In the drawing file the form is at full size, in the
recipe's units, its datum at the origin; the paper round it is enlarged instead, so that a measure taken there is true.

Reference: ISO 5455 (scales); inch shops: halves, quarters, eighths and feet (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from formgen.drafting.ink import Ink, Sheet, Words
from formgen.drafting.layout import Block, Room, block, column, filled, in_line, may_fit, placed
from formgen.drafting.paper import SIZES_MM
from formgen.drafting.table import LARGE, SMALL, drawn
from formgen.drafting.title import Title, area, framed
from formgen.drafting.to_dxf import drawing_bytes
from formgen.drafting.to_pdf import pdf_of
from formgen.drafting.view import CrowdedError, View
from formgen.errors import ExportError
from formgen.fixed import fixed
from formgen.holding.model import Holding
from formgen.lengths import Units
from formgen.reports.drawing.end import end_view
from formgen.reports.drawing.front import front_view
from formgen.reports.drawing.lists import form_lists, part_lists
from formgen.reports.drawing.part import drawn_part, part_view
from formgen.reports.drawing.section import section_scale, section_view
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import code_text, is_shared
from formgen.reports.stamp import stamp_height_mm, stamp_inks

#: One to so much, the largest first.
SCALES: dict[Units, tuple[float, ...]] = {
    "in": (1, 2, 4, 8, 12, 16, 24, 32, 48, 64, 96),
    "mm": (1, 2, 5, 10, 20, 50, 100),
}
#: What some of them are called in the trade.
NAMED = {4: "3 in = 1 ft", 8: "1 1/2 in = 1 ft", 12: "1 in = 1 ft", 16: "3/4 in = 1 ft", 24: "1/2 in = 1 ft"}
#: The form is at least this long, else a larger paper or a further page is taken (mm on paper).
LEAST_LONG_MM = 110.0
#: Clear paper under a mark that the part must not be pressed (mm).
STAMP_CLEAR_MM = 3.0
#: Names along the face need at least this much of it each, in heights of their letters.
CROWDED = 1.2


#: Which view, its ratio, height of its letters, whether each text must find room.
Key = tuple[str, float, float, bool]


@fixed
class Way:
    """A way to lay out the drawing: on how many pages (3: as many as it takes), in what letters, leaving out or not."""

    pages: int
    text_mm: float = 2.5
    strict: bool = True


#: From the most wanted to the last resort.
WAYS = (
    Way(pages=1), Way(pages=2), Way(pages=1, text_mm=1.8), Way(pages=2, text_mm=1.8),
    Way(pages=3), Way(pages=3, text_mm=1.8), Way(pages=3, text_mm=1.8, strict=False),
)  # fmt: skip


@dataclass
class _Maker:
    """Makes the blocks of one form, each once; None where a text finds no room."""

    subject: Subject
    third_angle: bool
    made: dict[Key, Block | None] = field(default_factory=dict)

    @property
    def named(self) -> int:
        """The number of holes that have a name on the form."""
        return len(self.subject.reliefs) + len(self.subject.dowels)

    def area(self, wide: float, high: float) -> Room:
        """Find what of a sheet is free for the views; DO NOT PRESS, where it stands, takes the upper edge."""
        x0, _, x1, _ = area(wide, high)
        head = stamp_height_mm(self.subject.form, x1 - x0)
        return area(wide, high, head + STAMP_CLEAR_MM if head else 0.0)

    def stamp(self, wide: float, high: float) -> tuple[Ink, ...]:
        """That mark, along the upper edge; nothing where the part may be pressed."""
        x0, _, x1, y1 = area(wide, high)
        return stamp_inks(self.subject.form, x0, y1, x1 - x0)

    def front(self, ratio: float, way: Way) -> Block | None:
        """The form's two views."""
        if way.strict and self.named * CROWDED * way.text_mm > self.subject.form.face.length_mm / ratio:
            return None  # there is no room for so many names

        def make() -> View:
            view = front_view(self.subject, 1.0 / ratio, way.text_mm, strict=way.strict)
            end_view(self.subject, view, third_angle=self.third_angle)
            return view

        key = ("form", ratio, way.text_mm, way.strict)
        return self._once(key, make, f"Form: front, labelled side, and end, {written(ratio)}")

    def part(self, ratio: float, way: Way) -> Block | None:
        """The part."""

        def make() -> View:
            return part_view(self.subject.form, 1.0 / ratio, way.text_mm, strict=way.strict)

        form = self.subject.form
        of = f" {drawn_part(form).mark}" * is_shared(form)
        return self._once(("part", ratio, way.text_mm, way.strict), make, f"Part{of}, finished, {written(ratio)}")

    def _once(self, key: Key, make: Callable[[], View], caption: str) -> Block | None:
        if key not in self.made:
            try:
                view = make()
            except CrowdedError:
                self.made[key] = None
            else:
                lost = ", ".join(view.left_out[:8]) + (" and others" if len(view.left_out) > 8 else "")
                more = f" (no room to name: {lost}; see the lists)" if lost else ""
                self.made[key] = captioned(view, f"{caption}{more}")
        return self.made[key]


def shop_drawing(form: Holding) -> tuple[bytes, bytes]:
    """The drawing, and the same printed."""
    asked = form.recipe.asked
    sheets, ratio, origin = laid_out(form)
    return drawing_bytes(sheets, ratio, asked.units, origin), pdf_of(sheets, f"{asked.name}: shop drawing")


def laid_out(form: Holding) -> tuple[tuple[Sheet, ...], float, tuple[float, float]]:
    """The sheets, how many mm one mm of paper stands for, and where on the first the form's datum lies."""
    asked = form.recipe.asked
    setting = form.recipe.shop.paper
    third, papers = setting.third_angle(asked.units), setting.sizes(asked.units)
    maker = _Maker(subject=Subject(form), third_angle=third)
    for paper, ratio, pages in _tries(maker, papers):
        high, wide = SIZES_MM[paper]
        shifts = [placed(blocks, maker.area(wide, high)) for blocks in pages]
        sheets = []
        for number, (blocks, by) in enumerate(zip(pages, shifts, strict=True), 1):
            if by is None:
                break
            title = Title(
                name=asked.name, what=f"{code_text(form)}  {_what(number, len(pages))}",
                scale=_scale_text(ratio), units=asked.units,
                third_angle=third, number=number, count=len(pages), paper=paper,
            )  # fmt: skip
            inks = [ink for item, shift in zip(blocks, by, strict=True) for ink in item.shifted(shift)]
            sheets.append(
                Sheet(width_mm=wide, height_mm=high, inks=(*framed(wide, high, title), *maker.stamp(wide, high), *inks))
            )
        if len(sheets) == len(pages) and shifts[0] is not None:
            return tuple(sheets), ratio, shifts[0][0]
    raise ExportError("the shop drawing: the form fits no paper at any scale, expected one that does; divide the part")


def _tries(maker: _Maker, papers: Sequence[str]) -> Iterator[tuple[str, float, list[list[Block]]]]:
    """Papers, scales and what goes on each page, the most wanted first.

    One page on the smaller paper, one on the larger, two; at last views and lists on pages of their own, at any scale.
    """
    subject = maker.subject
    x0, y0, x1, y1 = subject.whole.bounds
    lists = [
        [
            [block(drawn(t, size), is_list=True) for t in tables]
            for tables in (form_lists(subject), part_lists(subject.form))
        ]
        for size in (LARGE, SMALL)
    ]
    section = captioned(
        section_view(subject.form), f"Section at the face, {written(1.0 / section_scale(subject.form))}"
    )
    for way in WAYS:
        for paper in papers if way.pages < 3 else reversed(papers):  # many pages are on the larger paper
            high, wide = SIZES_MM[paper]
            room = maker.area(wide, high)
            for i, ratio in enumerate(SCALES[subject.units]):
                bare = ((x1 - x0) / ratio, (y1 - y0) / ratio)
                if bare[0] > wide - 40 or bare[1] > high - 50 or (way.pages < 3 and max(bare) < LEAST_LONG_MM):
                    continue
                # where there is no room even for the bare form nothing is drawn
                front = maker.front(ratio, way) if _may_hold(bare, section, lists, room, way.pages) else None
                if front is None or not _may_hold(front.size, section, lists, room, way.pages):
                    continue
                for smaller in SCALES[subject.units][i : i + 3]:
                    part = maker.part(smaller, way)
                    if part is not None:
                        for on_pages in _with_lists([front, part, section], lists, room, way.pages):
                            yield paper, ratio, on_pages


def _may_hold(
    form_mm: tuple[float, float], section: Block, sizes: Sequence[Sequence[list[Block]]], room: Room, pages: int
) -> bool:
    """Tell whether the page is large enough for the form and for what else stands there, in letters of some size."""
    return pages > 2 or any(
        may_fit([form_mm, *(b.size for b in ([*of_form, *of_part, section] if pages == 1 else of_form))], room)
        for of_form, of_part in sizes
    )


def _with_lists(
    views: list[Block], sizes: Sequence[Sequence[list[Block]]], room: Room, pages: int
) -> Iterator[list[list[Block]]]:
    """The views on pages with their lists, in columns, in line, or as they fit; in large letters before small."""
    front, *rest = views
    high = room[3] - room[1]
    if pages > 2:
        for of_form, of_part in sizes:
            yield [[front], *filled(of_form, room), rest, *filled(of_part, room)]
        return
    orders: tuple[Callable[[list[Block]], list[Block]], ...] = (lambda held: column(held, high), in_line, list)
    for order in orders:
        for of_form, of_part in sizes:
            lists = [[*of_form, *of_part]] if pages == 1 else [of_form, of_part]
            on_pages = [views] if pages == 1 else [[front], rest]
            yield [[*on_page, *order(held)] for on_page, held in zip(on_pages, lists, strict=True)]


def captioned(view: View, text: str) -> Block:
    """A view with its name below."""
    x0, y0, _, _ = view.reach
    return block((*view.paper.inks, Words(text=text, at=(x0, y0 - 6.0), height_mm=2.5)))


def written(ratio: float) -> str:
    """A scale: `1 : 8`, `2 : 1`."""
    return f"1 : {ratio:g}" if ratio >= 1 else f"{1 / ratio:g} : 1"


def _what(number: int, count: int) -> str:
    """Say what a sheet shows."""
    if count == 1:
        return "form, part and plies"
    return ("form", "part and plies")[number - 1] if count == 2 else "form, part, lists"


def _scale_text(ratio: float) -> str:
    return f"{written(ratio)}, {NAMED[int(ratio)]}" if ratio in NAMED else written(ratio)
