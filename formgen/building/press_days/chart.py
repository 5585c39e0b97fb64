"""Building: press days as a chart: a row for each form, bag and bar, hours from left to right, a strip for each week.

In: `PressDays`. Out: SVG text, in mm on paper. Told apart without colour: at work (dark), glue setting (white), glue
set and waiting (dashed), nobody there (grey ground), days by upright lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from formgen.building.press_days.calendar import Calendar
from formgen.building.press_days.model import DAY_MIN, GlueUp, PressDays
from formgen.building.press_days.rows import headline
from formgen.outputs.svg import Svg, picture, tag, text

#: White round the drawing, width of the names, of a strip; height of a row and of a strip's head (mm).
MARGIN, NAMES, WIDE, ROW, HEAD = 6.0, 30.0, 240.0, 5.0, 9.0
#: Days in a strip, longest first: the longest in which the shortest stretch can bear its name is taken.
STRIPS = (7, 4, 2, 1)
LETTER = 2.2
INK, REST, NIGHT, WORK = "#26241f", "#ffffff", "#e6e4de", "#6f6a5f"

Stretch = tuple[int, int, GlueUp]


def press_days_svg(plan: PressDays) -> Svg:
    """The chart, as SVG text."""
    last = max((held.done_min for held in plan.glue_ups), default=0)
    days = _strip_days(plan)
    strips = range(0, max(last, 1), days * DAY_MIN)
    key = "Dark: somebody at it. White: glue setting. Dashed: set, waits. Grey: nobody there."
    top = MARGIN + 6.0
    shown = [
        text(MARGIN, MARGIN + 3.0, f"Press days: {headline(plan)}", 3.0),
        text(MARGIN, MARGIN + 6.5, key, LETTER),
    ]
    for begin in strips:
        rows = [row for row in _rows(plan) if any(a < begin + days * DAY_MIN and b > begin for a, b, _ in row[1])]
        shown.append(tag("g", *_strip(plan, rows, begin, days), transform=f"translate({MARGIN:.2f} {top:.2f})"))
        top += HEAD + ROW * len(rows) + 4.0
    wide = NAMES + WIDE + 2 * MARGIN
    ground = tag("rect", width=wide, height=top, fill="#ffffff")
    said = f"Press days, {len(plan.glue_ups)} glue-ups"
    return picture(wide, top, said, ground, *shown, font_family="sans-serif", fill=INK)


def _strip_days(plan: PressDays) -> int:
    """As many days to a strip as leave the name of every stretch room beside it."""
    shortest = min((held.opens_min - held.pressed_min for held in plan.glue_ups), default=DAY_MIN)
    longest = max((len(held.mark) for held in plan.glue_ups), default=1)
    need = longest * LETTER * 0.6
    fits = [days for days in STRIPS if shortest * WIDE / (days * DAY_MIN) >= need]
    last = max((held.done_min for held in plan.glue_ups), default=1)
    return min(fits[0] if fits else STRIPS[-1], -(-last // DAY_MIN))


def _rows(plan: PressDays) -> list[tuple[str, list[Stretch]]]:
    """Names and stretches: forms in the order of their first glue-ups, bags, bars."""
    rows: dict[str, list[Stretch]] = {}
    for held in plan.glue_ups:
        rows.setdefault(held.form, []).append((held.begins_min, held.form_free_min, held))
    for bag in range(1, plan.means.bags + 1):
        rows[f"\0bag {bag}"] = [(h.begins_min, h.done_min, h) for h in plan.glue_ups if h.bag == bag]
    for bar in range(1, sum(count for _, count in plan.means.bars) + 1):
        rows[f"\0bar {bar}"] = [(h.begins_min, h.done_min, h) for h in plan.glue_ups if h.bar == bar]
    return [(name.lstrip("\0"), held) for name, held in rows.items() if held]


def _strip(plan: PressDays, rows: Sequence[tuple[str, list[Stretch]]], begin: int, days: int) -> Iterator[Svg]:
    """One strip: ground, days, rows."""
    means, scale, high = plan.means, WIDE / (days * DAY_MIN), HEAD + ROW * len(rows)
    first = begin // DAY_MIN
    yield _rect(NAMES, HEAD, WIDE, high - HEAD, NIGHT, "none")
    for day in range(first, first + days):
        x = NAMES + (day - first) * DAY_MIN * scale
        worked = means.worked[day % 7]
        if worked:
            yield _rect(x, HEAD, means.day_min * scale, high - HEAD, "#f8f7f4", "none")
        number = Calendar.of(means).number(day * (DAY_MIN // plan.step_min))
        name = f"day {number} {means.week[day % 7]}" if worked else f"{means.week[day % 7]}, not worked"
        yield text(x + 0.8, HEAD - 1.2, name, LETTER)
        yield tag("path", d=f"M{x:.2f} {HEAD - 4:.2f}V{high:.2f}", stroke=INK, stroke_width=0.25)
    for i, (name, stretches) in enumerate(rows):
        y = HEAD + ROW * i
        yield tag("path", d=f"M0 {y:.2f}H{NAMES + WIDE:.2f}", stroke="#b5b1a8", stroke_width="0.1")
        yield text(0.5, y + ROW * 0.68, name[:26], LETTER)
        for j, (a, b, held) in enumerate(stretches):
            yield from _stretch(a, b, held, begin, days, y)
            after = stretches[j + 1][0] if j + 1 < len(stretches) else begin + days * DAY_MIN
            if b == held.pressed_min and begin <= b and (after - b) * scale >= len(held.mark) * LETTER * 0.6:
                yield text(NAMES + (b - begin) * scale + 0.6, y + ROW * 0.66, held.mark, LETTER)


def _stretch(a: int, b: int, held: GlueUp, begin: int, days: int, y: float) -> Iterator[Svg]:
    """A glue-up in a row, as far as it lies in the strip: at work, setting, waiting, at work."""
    scale, end = WIDE / (days * DAY_MIN), begin + days * DAY_MIN
    parts = (
        (a, held.pressed_min, WORK, None),
        (held.pressed_min, min(held.set_min, b), REST, None),
        (held.set_min, min(held.opens_min, b), REST, "0.8 0.6"),
        (held.opens_min, b, WORK, None),
    )
    for p, q, fill, dashes in parts:
        left, right = max(p, begin), min(q, end)
        if left < right:
            x = NAMES + (left - begin) * scale
            yield _rect(x, y + 0.7, (right - left) * scale, ROW - 1.4, fill, INK, stroke_dasharray=dashes)
    left, right = max(held.pressed_min, begin), min(b, end)
    if a < end and right > left and (right - left) * scale >= len(held.mark) * LETTER * 0.6:
        yield text(NAMES + (left - begin) * scale + 0.6, y + ROW * 0.66, held.mark, LETTER)


def _rect(x: float, y: float, wide: float, high: float, fill: str, stroke: str, **more: str | None) -> Svg:
    return tag("rect", x=x, y=y, width=wide, height=high, fill=fill, stroke=stroke, stroke_width=0.2, **more)
