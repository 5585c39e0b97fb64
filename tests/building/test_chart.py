"""The press-days chart: every stretch at its hours, letters that paper can show, a page for each week, dark."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from shapely import LineString, STRtree, box

from formgen.building.press_days.chart import press_days_figures, press_days_svg
from formgen.building.press_days.model import Demand, GlueUp, Means, PressDays
from formgen.building.press_days.plan import plan_press_days
from formgen.building.press_days.rows import day_of
from formgen.drafting.paper import CAPITAL, SIZES_MM, TEXT_MM
from tests.building.test_press_days import means
from tests.reports.browser import chromium, opened
from tests.reports.paper_paths import pages

A4 = (297.0, 210.0)
LETTER = SIZES_MM["letter"][::-1]
DAY, WEEK = 1440, 7 * 1440
SVG = "{http://www.w3.org/2000/svg}"


def in_turn(
    held: Means, row: int | None, marks: Iterable[str], minutes: tuple[int, int, int], bar: int | None
) -> Iterator[GlueUp]:
    """Glue-ups one after the other in a bag or under clamps: lay up, press, take out, while the shop is open."""
    lay, press, out = minutes
    at = 0
    for mark in marks:
        at = next_open(held, at + 20, lay)
        opens = next_open(held, at + lay + press, out)
        yield GlueUp(
            opening=mark, form=f"{mark}-shared", number=1, of=2, begins_min=at, glue_min=at + 5, pressed_min=at + lay,
            set_min=at + lay + press, opens_min=opens, done_min=opens + out, off_form=bar is not None,
            form_free_min=opens + out, bag=row, bar=bar, bar_mm=None if bar is None else 933.45,
        )  # fmt: skip
        at = opens + out


def next_open(held: Means, minute: int, length: int) -> int:
    while not held.worked[minute // DAY % 7] or minute % DAY + length > held.day_min:
        minute = (minute // DAY + 1) * DAY
    return minute


def planned(held: Means, glue_ups: Iterable[GlueUp]) -> PressDays:
    """A plan of these glue-ups; what is proven of it is no matter here."""
    ordered = tuple(sorted(glue_ups, key=lambda one: one.begins_min))
    days = day_of(max(one.done_min for one in ordered), held)
    return PressDays(
        means=held, step_min=5, glue_ups=ordered, days=days, days_at_least=days, total_min=0, total_at_least_min=0,
        demands=(Demand(what="bags", days=days),), nights=0, left_out=(),
    )  # fmt: skip


@cache
def plan_of(kind: str) -> PressDays:
    """Plans of few long glue-ups, of many short ones, of clamps alone, and of more bags than a page has rows."""
    rows, count, minutes, held = {
        "long": (2, 7, (60, 1300, 30), means(opens_min=450, day_min=510)),
        "short": (3, 30, (20, 60, 15), means(worked=(True,) * 7)),
        "clamps": (4, 4, (30, 600, 20), means(worked=(True, False, True, True, True, False, False))),
        "many": (40, 3, (15, 1500, 15), means()),
    }[kind]
    return planned(held, [
        glue_up
        for row in range(1, rows + 1)
        for glue_up in in_turn(
            held, None if kind == "clamps" else row, [f"W-{row}{i:02d}" for i in range(count)], minutes,
            row if kind == "short" else None,
        )
    ])  # fmt: skip


#: Weeks of each, and the pages that they take on A4 and letter: the names of ninety glue-ups and the rows of forty
#: bags need more than one.
KINDS = {"long": (2, 2, 2), "short": (1, 2, 3), "clamps": (2, 2, 2), "many": (1, 4, 3)}


def places(held: Means, wide: float, sliver: float, night: float) -> np.ndarray:
    """Where each minute of a week lies, by adding them up one by one (mm from the strip's left end)."""
    minute = np.arange(WEEK)
    worked = np.array(held.worked)[minute // DAY]
    there = worked & (minute % DAY < held.day_min)
    weight = np.where(there, 1.0, np.where(worked, night, 0.0))
    slivers = sliver * (7 - sum(held.worked))
    each = weight * (wide - slivers) / weight.sum() + np.where(worked, 0.0, sliver / DAY)
    return np.concatenate([[0.0], np.cumsum(each)])


def expected(plan: PressDays, wide: float, left: float) -> Counter[tuple[object, ...]]:
    """Week, row, kind, beginning and end (0.1 mm) of every part of every stretch, from the plan's minutes."""
    at = places(plan.means, wide, 3.0, 1.0 / 3.0)
    found: Counter[tuple[object, ...]] = Counter()
    for held in plan.glue_ups:
        marks = (held.begins_min, held.pressed_min, held.set_min, held.opens_min, held.done_min)
        for kind, a, b in zip(("at", "set", "wait", "at"), marks[:-1], marks[1:], strict=True):
            for week in range(a // WEEK, max(b - 1, a) // WEEK + 1):
                begin, end = max(a - week * WEEK, 0), min(b - week * WEEK, WEEK)
                if begin < end:
                    row = "clamps" if held.bag is None else f"bag {held.bag}"
                    found[week, row, kind, round(left + at[begin], 1), round(left + at[end], 1)] += 1
    return found


def strips(plan: PressDays) -> Iterator[tuple[ET.Element, ET.Element]]:
    for figure in press_days_figures(plan):
        yield ET.fromstring(figure.names), ET.fromstring(figure.hours)  # noqa: S314 - made here


def numbers(element: ET.Element, *names: str) -> list[float]:
    return [float(element.get(name, "nan")) for name in names]


@pytest.mark.parametrize("kind", KINDS)
def test_every_stretch_lies_in_its_week_and_row_at_its_hours(kind: str) -> None:
    plan = plan_of(kind)
    found: Counter[tuple[object, ...]] = Counter()
    for week, (names, hours) in enumerate(strips(plan)):
        left, _, wide, _ = map(float, hours.get("viewBox", "").split())
        rows = [(*numbers(text, "y"), text.text or "") for text in names.iter("text") if " " in (text.text or "")]
        for rect in hours.iter("rect"):
            if kind_of := rect.get("class"):
                x, y, across, high = numbers(rect, "x", "y", "width", "height")
                (row,) = [name for at, name in rows if y <= at <= y + high]
                name = "clamps" if row.startswith("clamps") else row
                found[week, name, kind_of, round(x, 1), round(x + across, 1)] += 1
    close: dict[tuple[object, ...], int] = {}
    for key, count in expected(plan, wide - 0.5, left).items():
        # written to 0.01 mm and rounded to 0.1: the neighbouring tenth is the same place
        near = [
            k
            for k in found
            if k[:3] == key[:3] and all(abs(float(str(k[i])) - float(str(key[i]))) < 0.15 for i in (3, 4))
        ]
        close[key] = sum(found[k] for k in near) - count
    assert close
    assert not any(close.values()), {key: off for key, off in close.items() if off}
    assert sum(found.values()) == sum(expected(plan, wide - 0.5, left).values())


@pytest.mark.parametrize("paper", [A4, LETTER])
@pytest.mark.parametrize("kind", KINDS)
def test_a_page_holds_a_week_in_letters_that_paper_can_show(kind: str, paper: tuple[float, float]) -> None:
    plan = plan_of(kind)
    root = ET.fromstring(press_days_svg(plan, paper))  # noqa: S314 - made here
    _, _, wide, high = map(float, root.get("viewBox", "").split())
    heads = [t.text or "" for t in root.iter(f"{SVG}text") if (t.text or "").startswith("Press days. Week")]
    weeks = [int(re.findall(r"Week (\d+)", head)[0]) for head in heads]
    assert (len(set(weeks)), len(weeks)) == (KINDS[kind][0], KINDS[kind][1 if paper == A4 else 2])
    assert weeks == sorted(weeks)
    assert (wide, high) == pytest.approx((paper[0], paper[1] * len(weeks)), abs=0.06)
    capitals = [CAPITAL * float(text.get("font-size", "0")) for text in root.iter(f"{SVG}text")]
    assert min(capitals) >= TEXT_MM - 0.01  # sizes are written to 0.01
    said = Counter(text.text for text in root.iter(f"{SVG}text"))
    for held in plan.glue_ups:  # each is named: in its stretch, in the list, or by the hour
        assert any(held.mark in (text or "") for text in said), held.mark


def test_a_plan_of_nothing_is_an_empty_page() -> None:
    chart = press_days_svg(plan_press_days([], means()))
    assert chart.count("Press days. Week") == 1
    assert chart.count('class="at"') == 1  # in the key


def test_in_a_browser_it_prints_a_week_to_a_page_and_no_text_touches_another(tmp_path: Path) -> None:
    """In the letters that this machine has, which are wider than the look's own."""
    path = tmp_path / "press-days.svg"
    with chromium() as start:
        browser = start()
        for kind, (_, count, _) in KINDS.items():
            path.write_text(press_days_svg(plan_of(kind)), encoding="utf-8")
            with opened(browser, path) as held:
                content = held.page.pdf(prefer_css_page_size=True, print_background=True)
                assert held.complaints == []
                texts, boxes = held.page.evaluate(TEXTS), held.page.evaluate(BOXES)
            sizes = [page.size for page in pages(content)]
            assert sizes == [pytest.approx(A4, abs=0.3)] * count
            assert outside(texts) == []
            assert touching(texts) == []
            assert crossed(texts, boxes) == []
        for scheme in ("light", "dark"):
            with opened(browser, path, color_scheme=scheme) as held:
                ground, ink, at, plain = held.page.evaluate(COLOURS)
                assert contrast(ground, ink) > 7.0
                assert contrast(plain, ink) > 7.0
                assert contrast(plain, at) > 7.0  # somebody at it against glue setting
                assert (luminance(ground) < 0.1) == (scheme == "dark")


#: Ground, letters, somebody at it, glue setting, as the browser fills them.
COLOURS = """["rect", "text", "rect.at", "rect.set"].map(
  name => getComputedStyle(document.querySelector(name)).fill.match(/[\\d.]+/g).map(Number))"""


def luminance(colour: Sequence[float]) -> float:
    """Of sRGB, 0 to 1 (WCAG 2.1, relative luminance)."""
    linear = [c / 12.92 if (c := v / 255) <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for v in colour[:3]]
    return sum(weight * c for weight, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(a: Sequence[float], b: Sequence[float]) -> float:
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)


#: Each text, left, top, right, bottom, as the browser sets it (mm); of its line's height the middle, where letters are.
TEXTS = """[...document.querySelectorAll("text")].map(text => {
  const box = text.getBoundingClientRect(), mm = 25.4 / 96, air = 0.15 * box.height;
  return [text.textContent, mm * box.left, mm * (box.top + air), mm * box.right, mm * (box.bottom - air)];
})"""

#: Each part of a stretch: left, top, right, bottom (mm).
BOXES = """[...document.querySelectorAll("rect[class]")].map(rect => {
  const box = rect.getBoundingClientRect(), mm = 25.4 / 96;
  return [mm * box.left, mm * box.top, mm * box.right, mm * box.bottom];
})"""


def outside(texts: Sequence[Sequence[Any]]) -> list[str]:
    """Texts nearer than 10 mm to the edge of their page."""
    wide, high = A4
    return [
        said
        for said, left, top, right, bottom in texts
        if left < 10.0 or right > wide - 10.0 or top % high < 10.0 or bottom % high > high - 10.0
    ]


def touching(texts: Sequence[Sequence[Any]]) -> list[tuple[str, str]]:
    """Texts that lie on one another."""
    boxes = [box(*where) for _, *where in texts]
    tree = STRtree(boxes)
    pairs = ((i, int(j)) for i, one in enumerate(boxes) for j in tree.query(one, predicate="intersects"))
    return [(texts[i][0], texts[j][0]) for i, j in pairs if i < j]


def crossed(texts: Sequence[Sequence[Any]], boxes: Sequence[Sequence[float]]) -> list[str]:
    """Texts that a side of a stretch passes."""
    sides = STRtree([LineString([(x, top), (x, bottom)]) for left, top, right, bottom in boxes for x in (left, right)])
    return [said for said, *where in texts if len(sides.query(box(*where), predicate="intersects"))]
