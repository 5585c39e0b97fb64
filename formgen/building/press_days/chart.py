"""Building: press days as a chart, a strip for each week: figures for the page, a file that prints a week to a page.

In: `PressDays`. Out: SVG in mm. Its colours and its lettering are the look's, so that it is dark where the screen is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from formgen.building.press_days.calendar import Calendar
from formgen.building.press_days.hours import WEEK, Hours
from formgen.building.press_days.model import DAY_MIN, GlueUp, PressDays
from formgen.building.press_days.rows import by_day, clock
from formgen.building.press_days.strip import LINE_MM, Letters, Row, Strip, box, draw_strip, line, width_mm
from formgen.drafting.paper import FRAME_MM, HEAD_MM, MARGIN_MM, NAME_MM, STEP_MM, TEXT_MM
from formgen.outputs.html.look import look
from formgen.outputs.svg import Svg, picture, tag

#: Width of the rows' names (mm), and A4 on its side.
NAMES_MM, A4_MM = 22.0, (297.0, 210.0)
#: Letters on a screen and where many bags share a page, and those of a page with room.
CLOSE, FAR = Letters(TEXT_MM, TEXT_MM), Letters(NAME_MM, HEAD_MM)
#: What each part of a stretch and the ground behind it mean; a sample's width and height (mm).
KEY = (
    ("at", "somebody at it"),
    ("set", "glue setting"),
    ("wait", "set, waits"),
    ("night", "nobody there: drawn narrower"),
)
SAMPLE_MM = (8.0, 3.5)
#: Height of a page's head with its key (mm).
PAGE_HEAD_MM = 5.0 * STEP_MM
_LETTERED = {"font_family": "var(--lettering)", "fill": "var(--ink)"}


@dataclass(frozen=True)
class Figure:
    """A week for a page of HTML: its title, the column of names, and the strip beside it to the same scale."""

    title: str
    names: Svg
    hours: Svg


def press_days_figures(plan: PressDays) -> list[Figure]:
    """Return the weeks of a plan, as wide as A4 on its side has room."""
    wide = A4_MM[0] - 2.0 * MARGIN_MM
    figures = []
    for week in _weeks(plan):
        strip = draw_strip(_hours(plan, week, wide), _rows(plan, week), CLOSE)
        title, high = _title(plan, week), f"{strip.high_mm + 1.0:.1f}"
        names = tag("svg", *strip.names, viewBox=f"0 0 {NAMES_MM:.1f} {high}", aria_hidden="true", **_LETTERED)
        seen = {"role": "img", "aria_label": f"{title}, a row for each bag"}
        box = f"{NAMES_MM:.1f} 0 {wide - NAMES_MM + 0.5:.1f} {high}"
        figures.append(Figure(title, names, tag("svg", *strip.drawn, viewBox=box, **seen, **_LETTERED)))
    return figures


def press_days_key() -> list[tuple[Svg, str]]:
    """Return a sample of each part of a stretch and of the ground, and what it means."""
    wide, high = SAMPLE_MM
    room = f"-0.3 -0.3 {wide + 0.6} {high + 0.6}"
    return [(tag("svg", _sample(kind, 0.0, 0.0), viewBox=room, aria_hidden="true"), said) for kind, said in KEY]


def press_days_svg(plan: PressDays, paper_mm: tuple[float, float] = A4_MM) -> Svg:
    """Return the chart as a file: pages one below the other, a week on each.

    Args:
        plan: press days.
        paper_mm: width and height of a page.
    """
    wide, high = paper_mm
    pages = [page for week in _weeks(plan) for page in _pages(plan, week, paper_mm)]
    shown = [
        tag("g", *page, transform=f"translate({MARGIN_MM:.2f} {MARGIN_MM + i * high:.2f})")
        for i, page in enumerate(pages)
    ]
    style = Svg(f"<style>@page {{ size: {wide:.1f}mm {high:.1f}mm; margin: 0; }}\n{look()}</style>")
    ground = tag("rect", width=wide, height=high * len(pages), fill="var(--paper)")
    said = f"Press days, {len(plan.glue_ups)} glue-ups"
    return picture(wide, high * len(pages), said, style, ground, *shown, **_LETTERED)


def _weeks(plan: PressDays) -> range:
    last = max((held.done_min for held in plan.glue_ups), default=1)
    return range(-(-last // (WEEK * DAY_MIN)))


def _hours(plan: PressDays, week: int, wide_mm: float) -> Hours:
    return Hours(means=plan.means, week=week, left_mm=NAMES_MM, wide_mm=wide_mm - NAMES_MM)


def _title(plan: PressDays, week: int) -> str:
    first, last = Hours(means=plan.means, week=week, left_mm=0.0, wide_mm=1.0).numbers()
    last = min(last, max(first, plan.days))
    return f"Week {week + 1}: day {first}" + (f" to {last}" if last > first else "")


def _rows(plan: PressDays, week: int) -> list[Row]:
    """Return all bags of the plan, then as many rows of clamps as press at once; in each what lies in the week."""
    rows: dict[tuple[str, int], list[GlueUp]] = {}
    for bag in sorted({held.bag for held in plan.glue_ups if held.bag is not None}):
        rows["bag", bag] = [held for held in plan.glue_ups if held.bag == bag]
    free: list[int] = []
    for held in (held for held in plan.glue_ups if held.bag is None):
        lane = next((i for i, done in enumerate(free) if done <= held.begins_min), len(free))
        free[lane : lane + 1] = [held.done_min]
        rows.setdefault(("clamps", lane + 1), []).append(held)
    begin, end = week * WEEK * DAY_MIN, (week + 1) * WEEK * DAY_MIN
    return [
        Row(kind, number, tuple(held for held in row if held.begins_min < end and held.done_min > begin))
        for (kind, number), row in rows.items()
    ]


def _pages(plan: PressDays, week: int, paper_mm: tuple[float, float]) -> Iterator[list[Svg]]:
    """Lay a week out on a page, in large letters where they fit; where it has many rows, on several."""
    wide, room = paper_mm[0] - 2.0 * MARGIN_MM, paper_mm[1] - 2.0 * MARGIN_MM - PAGE_HEAD_MM
    hours, rows, title = _hours(plan, week, wide), _rows(plan, week), _title(plan, week)
    for letters in (FAR, CLOSE):
        strip = draw_strip(hours, rows, letters)
        if strip.high_mm <= room:
            strip.drawn += _times(plan, hours, strip.high_mm, room)
            yield _page(title, strip, wide)
            return
    while rows:
        count = _fitting(hours, rows, room)
        said = f"{title}, {rows[0].name}" + (f" to {rows[count - 1].number}" if count > 1 else "")
        yield _page(said, draw_strip(hours, rows[:count], CLOSE), wide)
        rows = rows[count:]


def _times(plan: PressDays, hours: Hours, top_mm: float, bottom_mm: float) -> list[Svg]:
    """List under each day what is taken out and laid up at what time; nothing where that has no room."""
    first, last = hours.numbers()
    days = [day for day in by_day(plan) if first <= day[0] <= last]
    tops = top_mm + LINE_MM, top_mm + LINE_MM * (3.0 + max((len(outs) for _, outs, _ in days), default=0))
    shown = []
    for number, outs, ups in days:
        day = Calendar.of(plan.means).day(number)
        x, room = hours.x_mm(DAY_MIN * day), hours.day_mm(day % WEEK)
        told = [[f"{clock(held.opens_min, plan.means)} {held.mark}" for held in outs]]
        told += [[f"{clock(held.begins_min, plan.means)} {held.mark}" for held in ups]]
        for y, head, lines in zip(tops, ("take out", "lay up"), told, strict=True):
            if any(width_mm(said, TEXT_MM) > room for said in lines) or y + LINE_MM * (len(lines) + 1) > bottom_mm:
                return []
            shown += [line(x, y + LINE_MM, head, TEXT_MM, font_weight="bold")] if lines else []
            shown += [line(x, y + LINE_MM * (i + 2), said, TEXT_MM) for i, said in enumerate(lines)]
    return shown


def _fitting(hours: Hours, rows: Sequence[Row], room_mm: float) -> int:
    """Return how many rows a page holds, one at least."""
    count = 1
    while count < len(rows) and draw_strip(hours, rows[: count + 1], CLOSE).high_mm <= room_mm:
        count += 1
    return count


def _page(title: str, strip: Strip, wide_mm: float) -> list[Svg]:
    """Return a page: its head, the key, the strip."""
    shown = [
        line(0.0, NAME_MM, f"Press days. {title}", NAME_MM),
        tag("path", d=f"M0 {NAME_MM + 3.0:.2f}H{wide_mm:.2f}", stroke="var(--ink)", stroke_width=FRAME_MM),
    ]
    x = NAMES_MM
    for kind, said in KEY:
        shown.append(_sample(kind, x, NAME_MM + 5.5))
        shown.append(line(x + SAMPLE_MM[0] + 1.5, NAME_MM + 8.5, said, TEXT_MM))
        x += SAMPLE_MM[0] + width_mm(said, TEXT_MM) + 1.5 * STEP_MM
    return [*shown, tag("g", *strip.names, *strip.drawn, transform=f"translate(0 {PAGE_HEAD_MM:.2f})")]


def _sample(kind: str, x: float, y: float) -> Svg:
    wide, high = SAMPLE_MM
    if kind == "night":
        return tag("rect", x=x, y=y, width=wide, height=high, fill="var(--night)")
    return box(kind, x, y, wide, high)
