"""Stage `reports`: the views of the shop drawing as blocks with their captions, at the scales that are tried.

In: a form and a scale. Out: blocks of ink, each made once; none where a text finds no room at that scale.

Reference: ISO 5455 (scales); inch shops: halves, quarters, eighths and feet (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from formgen.drafting.ink import Words
from formgen.drafting.layout import Block, Room, block
from formgen.drafting.paper import HEAD_MM, STEP_MM, TEXT_MM
from formgen.drafting.text import broken
from formgen.drafting.view import CrowdedError, View
from formgen.lengths import Units
from formgen.reports.drawing.end import BETWEEN_MM, end_view
from formgen.reports.drawing.front import front_view
from formgen.reports.drawing.part import drawn_part, part_view
from formgen.reports.drawing.section import section_scale, section_view
from formgen.reports.drawing.shapes import around, bounds
from formgen.reports.drawing.subject import Subject
from formgen.reports.rows.makes import is_shared

#: One to so much, the largest first.
SCALES: dict[Units, tuple[float, ...]] = {
    "in": (1, 2, 4, 8, 12, 16, 24, 32, 48, 64, 96),
    "mm": (1, 2, 5, 10, 20, 50, 100),
}
#: What some of them are called in the trade.
NAMED = {4: "3 in = 1 ft", 8: "1 1/2 in = 1 ft", 12: "1 in = 1 ft", 16: "3/4 in = 1 ft", 24: "1/2 in = 1 ft"}
#: Names along the face need at least this much of it each, in heights of their letters.
CROWDED = 1.2
#: What sizes, names and a caption take of the paper at the very least, across and upward: round the form's two views,
#: and round the part (mm). What is larger than its room with these is not drawn to find out.
ROUND_FORM_MM, ROUND_PART_MM = (BETWEEN_MM + 40.0, 30.0), (14.0, 16.0)
#: From a view down to its caption (mm on paper).
CAPTION_MM = 6.5

#: Which view, its ratio, whether each text must find room.
Key = tuple[str, float, bool]


@dataclass
class Maker:
    """Makes the blocks of one form, each once; None where a text finds no room."""

    subject: Subject
    third_angle: bool
    made: dict[Key, Block | None] = field(default_factory=dict)
    _section: Block | None = None

    def wide_mm(self, ratio: float) -> float:
        """Width of the form on paper."""
        x0, _, x1, _ = self.subject.whole.bounds
        return (x1 - x0) / ratio

    def long_mm(self, ratio: float) -> float:
        """The longer side of the form on paper."""
        _, y0, _, y1 = self.subject.whole.bounds
        return max(self.wide_mm(ratio), (y1 - y0) / ratio)

    def least_mm(self, ratio: float) -> tuple[float, float]:
        """Width and height that the form's two views take at the least."""
        x0, y0, x1, y1 = self.subject.reach
        wide = (x1 - x0 + self.subject.form.depth_mm) / ratio
        return wide + ROUND_FORM_MM[0], (y1 - y0) / ratio + ROUND_FORM_MM[1]

    @cached_property
    def part_mm(self) -> tuple[float, float]:
        """Width and height of the part over its base line."""
        found = drawn_part(self.subject.form).gauge
        x0, y0, x1, y1 = around((bounds(found.inside), bounds(found.outside)))
        return x1 - x0, y1 - y0

    def part_long_mm(self, ratio: float) -> float:
        """The longer side of the part on paper."""
        return max(self.part_mm) / ratio

    def front(self, ratio: float, room: Room, *, strict: bool = True) -> Block | None:
        """The form's two views; none either where even their bare outlines are larger than the room."""
        names = len(self.subject.reliefs) + len(self.subject.dowels)
        crowded = strict and names * CROWDED * TEXT_MM > self.subject.form.face.length_mm / ratio
        if crowded or not _fits(self.least_mm(ratio), room):
            return None

        def make() -> View:
            view = front_view(self.subject, 1.0 / ratio, TEXT_MM, strict=strict)
            end_view(self.subject, view, third_angle=self.third_angle)
            return view

        return self._once(("form", ratio, strict), make, f"Form: front, labelled side, and end, {scale_text(ratio)}")

    def part(self, ratio: float, room: Room, *, strict: bool = True) -> Block | None:
        """The part; none either where its bare outline is larger than the room."""
        form = self.subject.form
        wide, high = self.part_mm
        if not _fits((wide / ratio + ROUND_PART_MM[0], high / ratio + ROUND_PART_MM[1]), room):
            return None

        def make() -> View:
            return part_view(form, 1.0 / ratio, TEXT_MM, strict=strict)

        of = f" {drawn_part(form).mark}" * is_shared(form)
        return self._once(("part", ratio, strict), make, f"Part{of}, finished, {scale_text(ratio)}")

    def section(self) -> Block:
        """The section at the face, at a scale of its own."""
        if self._section is None:  # nothing in it seeks room
            ratio = 1.0 / section_scale(self.subject.form)
            self._section = captioned(section_view(self.subject.form), f"Section A–A, at the face, {written(ratio)}")
        return self._section

    def _once(self, key: Key, make: Callable[[], View], caption: str) -> Block | None:
        if key not in self.made:
            try:
                self.made[key] = captioned(make(), caption)
            except CrowdedError:
                self.made[key] = None
        return self.made[key]


def _fits(least_mm: tuple[float, float], room: Room) -> bool:
    return least_mm[0] <= room[2] - room[0] and least_mm[1] <= room[3] - room[1]


def captioned(view: View, text: str) -> Block:
    """A view with its name below, and under that what it had no room to name."""
    x0, y0, x1, _ = view.reach
    inks = [*view.paper.inks, Words(text=text, at=(x0, y0 - CAPTION_MM), height_mm=HEAD_MM)]
    if view.left_out:
        lost = ", ".join(view.left_out[:8]) + (" and others" if len(view.left_out) > 8 else "")
        said = broken(f"(no room to name: {lost}; see the lists)", max(x1 - x0, 60.0), TEXT_MM)
        for i, line in enumerate(said, 1):
            inks.append(Words(text=line, at=(x0, y0 - CAPTION_MM - STEP_MM * i - 0.5), height_mm=TEXT_MM))
    return block(inks)


def written(ratio: float) -> str:
    """A scale: `1 : 8`, `2 : 1`."""
    return f"1 : {ratio:g}" if ratio >= 1 else f"{1 / ratio:g} : 1"


def scale_text(ratio: float) -> str:
    """A scale and what the trade calls it."""
    return f"{written(ratio)}, {NAMED[int(ratio)]}" if ratio in NAMED else written(ratio)
