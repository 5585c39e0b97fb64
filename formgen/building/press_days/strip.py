"""Building: a week's strip of the chart: a row for each bag, and in each stretch the text of what is glued up.

In: `Hours` and rows of glue-ups. Out: SVG elements in mm, in a column of names and in the strip beside it. Told apart
without colour: somebody at it (dark), glue setting (plain), glue set and waiting (dashed). What is too short for its
text has a number above it, and a list below the rows names it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from formgen.building.press_days.hours import AXIS_MM, Hours
from formgen.building.press_days.model import GlueUp
from formgen.drafting.paper import CAPITAL, HEAD_MM, STEP_MM, TEXT_MM, THIN_MM
from formgen.outputs.svg import Svg, tag, text

#: Width of a letter in the mean, as a share of the height of a capital: what any face of the look takes at most.
LETTER = 0.9
#: White above and below a stretch, and the height of a line of numbers above it (mm).
WHITE_MM, LINE_MM = 1.0, 4.0
#: Base line below the top of a line of text, and from one line to the next, as shares of a capital.
FIRST, NEXT = 1.4, 1.7


@dataclass(frozen=True)
class Row:
    """A bag, or clamps that press at a time: what it is, which, and what is in it this week."""

    kind: str
    number: int
    held: tuple[GlueUp, ...]

    @property
    def name(self) -> str:
        """Its name on the chart: `bag 2`, `clamps 1`."""
        return f"{self.kind} {self.number}"


@dataclass(frozen=True)
class Letters:
    """Capitals in a stretch: of the glue-up's name, and of form and bar under it (mm)."""

    name_mm: float
    text_mm: float

    def stretch_mm(self, lines: int) -> float:
        """Return the height of a stretch that holds so many lines."""
        return (FIRST + 0.6) * self.name_mm + (lines - 1) * NEXT * self.text_mm


@dataclass
class Strip:
    """A week's rows as they are placed, the highest first.

    Args:
        hours: the strip's scale.
        letters: heights of its text.
        stretch_mm: height of a stretch, the same in all rows.
        numbers: of glue-ups too short for their names.
        names, drawn: elements in the column of names, and in the strip.
        high_mm: as far as it is drawn.
    """

    hours: Hours
    letters: Letters
    stretch_mm: float
    numbers: dict[GlueUp, int] = field(default_factory=dict)
    names: list[Svg] = field(default_factory=list)
    drawn: list[Svg] = field(default_factory=list)
    high_mm: float = AXIS_MM


def draw_strip(hours: Hours, rows: Sequence[Row], letters: Letters) -> Strip:
    """Draw rows below the axis, and below them the list of what has a number."""
    lines = max((len(_said(held)) for row in rows for held in row.held), default=1)
    strip = Strip(hours, letters, letters.stretch_mm(lines))
    short = {held for row in rows for held in row.held if not _holds(hours, held)}
    ordered = sorted(short, key=lambda held: (held.begins_min, held.bag or 0, held.mark))
    strip.numbers = {held: number for number, held in enumerate(ordered, 1)}
    kind = ""
    for row in rows:
        if row.kind != kind:
            _head(strip, row.kind, first=not kind)
            kind = row.kind
        _row(strip, row)
    strip.drawn[:0] = [*hours.ground(AXIS_MM, strip.high_mm), *hours.axis()]
    _list(strip)
    return strip


def width_mm(said: str, capital_mm: float) -> float:
    """Estimate the width of a line, on the safe side."""
    return LETTER * capital_mm * len(said)


def line(x: float, y: float, said: str, capital_mm: float, **more: str) -> Svg:
    """A line of text in capitals of this height, its base line beginning at a point."""
    return text(x, y, said, capital_mm / CAPITAL, **more)


def box(kind: str, x: float, y: float, wide: float, high: float) -> Svg:
    """Part of a stretch: `at` (somebody at it), `set` (glue setting) or `wait` (set, waits)."""
    if kind == "at":
        # a seam in the ground's colour: what ends and what begins at the same time stay two
        look = {"fill": "var(--ink)", "stroke": "var(--paper)", "stroke_width": f"{THIN_MM}"}
    else:
        look = {"fill": "var(--sheet)", "stroke": "var(--ink)", "stroke_width": f"{THIN_MM}"}
    dashes = "1.2 0.9" if kind == "wait" else None
    return tag("rect", x=x, y=y, width=wide, height=high, class_=kind, **look, stroke_dasharray=dashes)


def _head(strip: Strip, kind: str, *, first: bool) -> None:
    """Name a group of rows: beside the axis, or with a line of its own."""
    if not first:
        strip.high_mm += LINE_MM + WHITE_MM
    said = "clamps" if kind == "clamps" else f"{kind}s"
    strip.names.append(line(0.0, strip.high_mm - 1.5, said, TEXT_MM, font_weight="bold"))


def _row(strip: Strip, row: Row) -> None:
    hours, top = strip.hours, strip.high_mm
    lanes = _lanes(strip, row)
    y = top + WHITE_MM + LINE_MM * (1 + max(lanes.values(), default=-1))
    end = y + strip.stretch_mm + WHITE_MM
    strip.names.append(_level(0.0, hours.left_mm, top))
    strip.names.append(line(0.0, (y + end - WHITE_MM + TEXT_MM) / 2.0, row.name, TEXT_MM))
    strip.drawn.append(_level(hours.left_mm, hours.left_mm + hours.wide_mm, top))
    for held in row.held:
        strip.drawn += _stretch(strip, held, y)
        if held in lanes:
            said = f"{strip.numbers[held]}"
            strip.drawn.append(line(_begins(hours, held), y - 0.8 - LINE_MM * lanes[held], said, TEXT_MM))
    strip.high_mm = end


def _level(left: float, right: float, y: float) -> Svg:
    return tag("path", d=f"M{left:.2f} {y:.2f}H{right:.2f}", stroke="var(--rule)", stroke_width=THIN_MM)


def _begins(hours: Hours, held: GlueUp) -> float:
    """Return where its number begins: over the stretch, but never out of the strip."""
    most = hours.left_mm + hours.wide_mm - width_mm("00", TEXT_MM)
    return min(hours.x_mm(held.begins_min) + WHITE_MM, most)


def _lanes(strip: Strip, row: Row) -> dict[GlueUp, int]:
    """Return the line, counted up from the stretch, in which each number has room."""
    ends: list[float] = []
    lanes = {}
    for held in (held for held in row.held if held in strip.numbers):
        x = _begins(strip.hours, held)
        lane = next((i for i, end in enumerate(ends) if end <= x), len(ends))
        ends[lane : lane + 1] = [x + width_mm(f"{strip.numbers[held]}", TEXT_MM) + 1.0]
        lanes[held] = lane
    return lanes


def _free(hours: Hours, held: GlueUp) -> tuple[float, float]:
    """Return where a stretch has room for text: while the glue sets, or while it waits if that is drawn wider."""
    pressed, done, opened = (hours.x_mm(minute) for minute in (held.pressed_min, held.set_min, held.opens_min))
    return (pressed, done) if done - pressed >= opened - done else (done, opened)


def _said(held: GlueUp) -> list[str]:
    """Return what its stretch says: its name, the form where that has another, the bar where there is one."""
    form = [held.form] if held.form != held.opening else []
    return [held.mark, *form, *([f"bar {held.bar}"] if held.bar else [])]


def _holds(hours: Hours, held: GlueUp) -> bool:
    """Tell whether its stretch has room for all of it."""
    left, right = _free(hours, held)
    return all(_capital(said, right - left, TEXT_MM) for said in _said(held))


def _capital(said: str, room_mm: float, wanted_mm: float) -> float:
    """Return the capital in which a line has room, the one wanted or the least; 0 where neither has."""
    fits = (mm for mm in (wanted_mm, HEAD_MM, TEXT_MM) if width_mm(said, mm) <= room_mm - 2.0 * WHITE_MM)
    return min(wanted_mm, next(fits, 0.0))


def _stretch(strip: Strip, held: GlueUp, y: float) -> Iterator[Svg]:
    """Draw a glue-up in its row: at work, setting, waiting, at work; and its text, as much as has room."""
    hours, letters = strip.hours, strip.letters
    parts = (
        ("set", held.pressed_min, held.set_min),
        ("wait", held.set_min, held.opens_min),
        ("at", held.begins_min, held.pressed_min),
        ("at", held.opens_min, held.done_min),
    )
    for kind, begin, end in parts:
        left, right = hours.x_mm(begin), hours.x_mm(end)
        if left < right:
            yield box(kind, left, y, right - left, strip.stretch_mm)
    left, right = _free(hours, held)
    base = y + FIRST * letters.name_mm
    for i, said in enumerate(_said(held)):
        capital = _capital(said, right - left, letters.text_mm if i else letters.name_mm)
        if capital:
            yield line(left + WHITE_MM, base, said, capital)
            base += NEXT * letters.text_mm


def _list(strip: Strip) -> None:
    """List what has a number, in as many columns as its longest line leaves."""
    if not strip.numbers:
        return
    said = [f"{number} {', '.join(_said(held))}" for held, number in strip.numbers.items()]
    wide = max(width_mm(text, TEXT_MM) for text in said) + STEP_MM
    columns = max(1, int(strip.hours.wide_mm // wide))
    rows = -(-len(said) // columns)
    for i, entry in enumerate(said):
        column, row = divmod(i, rows)
        strip.drawn.append(
            line(strip.hours.left_mm + column * wide, strip.high_mm + LINE_MM * (row + 1.5), entry, TEXT_MM)
        )
    strip.high_mm += LINE_MM * (rows + 1)
