"""The job report in a browser with no network: it runs clean, turns, comes apart, fits a phone, prints, can be read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from formgen.form.model import Form
from formgen.reports.web.report import report_page
from tests.reports.browser import PHONE, Opened, chromium, grave, opened

FILES = {"layers/layer-01.dxf": {"bytes": 34, "sha256": "cd" * 32}}
#: One of each: legs and a bar, a channel with ports, two pieces to a layer, a curve that turns both ways.
KINDS = ("porch-door-jamb", "reference-alcove", "lending-desk-panel", "bandstand-ogee")


@pytest.fixture(scope="module")
def start() -> Iterator[Callable[..., Any]]:
    """Starts a browser, given more flags."""
    with chromium() as held:
        yield held


@pytest.fixture(scope="module")
def browser(start: Callable[..., Any]) -> Any:
    return start()


@pytest.fixture
def report(made: Callable[[str], Form], tmp_path: Path) -> Callable[[str], Path]:
    """The report of a shipped recipe as a file."""

    def write(name: str) -> Path:
        path = tmp_path / f"{name}.html"
        path.write_bytes(report_page(made(name), FILES)[0])
        return path

    return write


def state(held: Opened) -> dict[str, str]:
    held.settle()
    return dict(held.page.evaluate("({...document.querySelector('canvas').dataset})"))


@pytest.mark.parametrize("name", KINDS)
def test_it_opens_without_a_complaint_and_loads_nothing(browser: Any, report: Callable[[str], Path], name: str) -> None:
    path = report(name)
    with opened(browser, path) as held:
        assert held.complaints == []
        assert held.asked_for == [path.as_uri()]
        assert held.page.locator("canvas").is_visible()
        assert held.painted("canvas").mean() > 0.05
        assert grave(held.page) == []


def test_the_lettering_is_in_the_page_itself(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb")) as held:
        faces = "document.fonts.load('16px \"Bench Gothic\"').then(faces => faces.map(face => face.status))"
        assert held.page.evaluate(faces) == ["loaded"]
        assert held.complaints == []


def test_dark_has_contrast_too(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb"), color_scheme="dark") as held:
        ground = held.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert max(int(part) for part in ground[4:-1].split(",")) < 60
        assert grave(held.page) == []


@pytest.mark.parametrize("name", ["porch-door-jamb", "lending-desk-panel"])
def test_a_phone_shows_it_without_moving_sideways(browser: Any, report: Callable[[str], Path], name: str) -> None:
    with opened(browser, report(name), viewport=PHONE, is_mobile=True, has_touch=True, device_scale_factor=2) as held:
        assert held.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        sizes = held.page.evaluate("[...document.querySelectorAll('button')].map(b => [b.offsetWidth, b.offsetHeight])")
        assert sizes
        assert min(min(size) for size in sizes) >= 24  # WCAG 2.2, 2.5.8: targets of 24 CSS pixels at least
        assert grave(held.page) == []


def test_a_layer_is_hidden_and_shown_by_its_button(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb")) as held:
        all_shown = held.painted("canvas").sum()
        buttons = held.page.locator("[data-layer]")
        for i in range(buttons.count()):
            buttons.nth(i).click()
        held.page.mouse.move(1, 1)
        assert state(held)["shown"] == ""
        assert held.painted("canvas").sum() == 0
        assert {buttons.nth(i).get_attribute("aria-pressed") for i in range(buttons.count())} == {"false"}
        held.page.locator("[data-layer='3']").click()
        assert state(held)["shown"] == "3"
        one = held.painted("canvas").sum()
        assert 0 < one < all_shown
        held.page.locator("[data-do='all']").click()
        held.page.mouse.move(1, 1)
        held.page.locator("h1").click()
        assert held.painted("canvas").sum() == pytest.approx(all_shown, rel=0.002)


@pytest.mark.parametrize("name", ["porch-door-jamb", "bandstand-ogee"])
def test_seen_from_above_a_layer_covers_its_own_area(
    browser: Any, report: Callable[[str], Path], made: Callable[[str], Form], name: str
) -> None:
    """The share of its bounding box that a layer covers, in pixels, against the closed form for lines and arcs."""
    layer = made(name).layers[0]
    x0, y0, x1, y1 = layer.outline.bounds
    area = math.fsum(p.outline.area_mm2 - math.fsum(o.outline.area_mm2 for o in p.openings) for p in layer.pieces)
    with opened(browser, report(name), device_scale_factor=3) as held:  # so that lines are thin beside the layer
        for button in held.page.locator("[data-layer]").all()[1:]:
            button.click()
        held.page.locator("canvas").focus()
        for _ in range(5):
            held.page.keyboard.press("ArrowUp")
        assert state(held)["tilt"] == "90"
        # keys turn it by 15 degrees; the pointer takes off the 24 that it stands aslant at first
        box = held.page.locator("canvas").bounding_box()
        held.page.mouse.move(box["x"] + 100, box["y"] + 100)
        held.page.mouse.down()
        held.page.mouse.move(box["x"] + 160, box["y"] + 100)
        held.page.mouse.up()
        assert state(held)["turn"] == "0"
        painted = held.painted("canvas")
        rows, columns = np.flatnonzero(painted.any(axis=1)), np.flatnonzero(painted.any(axis=0))
        high, wide = rows[-1] - rows[0] + 1, columns[-1] - columns[0] + 1
        assert wide / high == pytest.approx((x1 - x0) / (y1 - y0), rel=0.01)
        assert painted.sum() / (wide * high) == pytest.approx(area / ((x1 - x0) * (y1 - y0)), rel=0.03)


def test_it_turns_by_keys_buttons_and_pointer_and_goes_back(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb")) as held:
        first, seen = state(held), held.pixels("canvas")
        held.page.locator("canvas").focus()
        held.page.keyboard.press("ArrowRight")
        held.page.keyboard.press("ArrowDown")
        turned = state(held)
        assert (int(turned["turn"]), int(turned["tilt"])) == (int(first["turn"]) + 15, int(first["tilt"]) - 10)
        held.page.locator("[data-do='left']").click()
        assert state(held)["turn"] == first["turn"]
        box = held.page.locator("canvas").bounding_box()
        held.page.mouse.move(box["x"] + 300, box["y"] + 200)
        held.page.mouse.down()
        held.page.mouse.move(box["x"] + 400, box["y"] + 200)
        held.page.mouse.up()
        assert int(state(held)["turn"]) == int(first["turn"]) + 40
        held.page.mouse.move(1, 1)
        held.page.locator("h1").click()
        changed = np.abs(held.pixels("canvas") - seen).max(axis=2) > 24
        assert changed.mean() > 0.03
        held.page.locator("[data-do='reset']").click()
        assert state(held) == first


def test_layers_are_pulled_apart(browser: Any, report: Callable[[str], Path]) -> None:
    """Apart, one sees the ground between layers through the side: painted rows fall into as many runs as layers."""
    with opened(browser, report("porch-door-jamb")) as held:
        held.page.locator("[data-layer='part']").click()
        held.page.locator("canvas").focus()
        for _ in range(5):
            held.page.keyboard.press("ArrowDown")  # from 48 degrees to -2
        assert int(state(held)["tilt"]) == -2
        held.page.locator("#apart").fill("100")
        assert state(held)["apart"] == "1.00"
        painted = held.painted("canvas")
        middle = painted[:, painted.shape[1] // 2]
        runs = int(np.count_nonzero(np.diff(middle.astype(int)) == 1))
        assert runs == 8
        held.page.locator("#apart").fill("0")
        painted = held.painted("canvas")
        middle = painted[:, painted.shape[1] // 2]
        assert int(np.count_nonzero(np.diff(middle.astype(int)) == 1)) == 1


def test_without_webgl_the_still_picture_stands_in(start: Callable[..., Any], report: Callable[[str], Path]) -> None:
    browser = start("--disable-webgl", "--disable-3d-apis")
    with opened(browser, report("porch-door-jamb")) as held:
        assert held.complaints == []
        assert not held.page.locator("canvas").is_visible()
        assert not held.page.locator(".tools").is_visible()
        assert held.painted(".picture").mean() > 0.05
        assert grave(held.page) == []


def test_without_scripts_nothing_is_missing_but_the_turning(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb"), java_script_enabled=False) as held:
        assert held.page.locator(".picture").is_visible()
        assert not held.page.locator(".tools").is_visible()


def test_the_keys_reach_everything_in_order(browser: Any, report: Callable[[str], Path]) -> None:
    """Tab goes from the skip link over contents, picture, layers, slider, views and broad tables; all show a ring."""
    with opened(browser, report("porch-door-jamb")) as held:
        seen: list[str] = []
        for _ in range(60):
            held.page.keyboard.press("Tab")
            on = held.page.evaluate(
                "(e => [e.className || e.id || e.dataset.layer || e.dataset.do || e.getAttribute('href') || e.tagName,"
                " getComputedStyle(e).outlineStyle])(document.activeElement)"
            )
            if on[0] == "BODY" or (seen and on[0] == seen[0]):
                break
            seen.append(on[0])
            assert on[1] != "none", on
        assert seen[0] == "skip"
        wanted = ["#answers", "#files", "CANVAS", "1", "8", "part", "all", "apart", "left", "reset"]
        places = [seen.index(name) for name in wanted]
        assert places == sorted(places)
        assert seen.count("wide") >= 5


def test_the_printed_report_is_whole(browser: Any, report: Callable[[str], Path], made: Callable[[str], Form]) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    with opened(browser, report("porch-door-jamb"), color_scheme="dark") as held:
        held.page.emulate_media(media="print", color_scheme="dark")
        assert held.page.locator(".picture").is_visible()
        assert not held.page.locator("canvas").is_visible()
        assert not held.page.locator(".tools").is_visible()
        printed = held.page.pdf(format="A4", prefer_css_page_size=True)
    document = pdfium.PdfDocument(printed)
    said = " ".join(
        " ".join(page.get_textpage().get_text_bounded() for page in document).replace("\u00a0", " ").split()
    )
    codes = [finding.code for finding in made("porch-door-jamb").all_findings]
    assert [code for code in codes if code not in said] == []
    assert ("cd" * 32 in said.replace(" ", "")) is True
    for page in document:
        image = np.asarray(page.render(scale=0.5).to_pil().convert("L"))
        assert (image > 200).mean() > 0.6  # paper stays white, whatever the screen was
    document.close()


def test_markup_in_a_note_does_not_run(browser: Any, changed: Callable[..., Form], tmp_path: Path) -> None:
    note = "</script><script>document.title='taken'</script><img src=x onerror=document.title='taken'>"
    form = changed("newel-handrail", ("units: in", f'units: in\nnote: "{note}"'))
    path = tmp_path / "report.html"
    path.write_bytes(report_page(form, FILES)[0])
    with opened(browser, path) as held:
        assert held.complaints == []
        assert held.page.title() == "newel-handrail: job report"
        assert note in held.page.locator(".title .note").inner_text()


def test_the_policy_stops_what_slips_in(browser: Any, report: Callable[[str], Path]) -> None:
    path = report("newel-handrail")
    spoiled = path.read_text(encoding="utf-8").replace("</main>", "<script>document.title='taken'</script></main>")
    path.write_text(spoiled, encoding="utf-8")
    with opened(browser, path) as held:
        assert held.page.title() == "newel-handrail: job report"
        assert any("Content Security Policy" in line for line in held.complaints)
