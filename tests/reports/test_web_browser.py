"""The job report in a browser with no network: it runs clean, turns, comes apart, fits a phone, prints, can be read."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from formgen.form.model import Form
from formgen.recipe.as_asked import form_code
from formgen.reports.web.report import report_page
from tests.reports.browser import MEASURES, PHONE, Opened, chromium, grave, opened

FILES = {"layers/layer-01.dxf": {"bytes": 34, "sha256": "cd" * 32}}
#: One of each: legs and a bar, a channel with ports, two pieces to a layer, a curve that turns both ways.
KINDS = ("porch-door-jamb", "reference-alcove", "lending-desk-panel", "bandstand-ogee")

#: Opens every section.
UNFOLD = "document.querySelectorAll('details').forEach(fold => { fold.open = true; })"


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


@contextmanager
def on_form(browser: Any, path: Path, **context: Any) -> Iterator[Opened]:
    """The report with its section on the form opened, by the link to it."""
    with opened(browser, path, **context) as held:
        held.page.locator("nav a[href='#form']").click()
        held.page.locator("#form").wait_for(state="visible")
        if context.get("java_script_enabled", True):
            held.settle()
        yield held


def state(held: Opened) -> dict[str, str]:
    held.settle()
    return dict(held.page.evaluate("({...document.querySelector('canvas').dataset})"))


@pytest.mark.parametrize("name", KINDS)
def test_it_opens_without_a_complaint_and_loads_nothing(browser: Any, report: Callable[[str], Path], name: str) -> None:
    path = report(name)
    with on_form(browser, path) as held:
        assert held.complaints == []
        assert {asked.split("#")[0] for asked in held.asked_for} == {path.as_uri()}
        assert held.page.locator("canvas").is_visible()
        assert held.painted("canvas").mean() > 0.05
        held.page.evaluate(UNFOLD)
        assert grave(held.page) == []


def test_dark_has_contrast_too(browser: Any, report: Callable[[str], Path]) -> None:
    with opened(browser, report("porch-door-jamb"), color_scheme="dark") as held:
        ground = held.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert max(int(part) for part in ground[4:-1].split(",")) < 60
        held.page.evaluate(UNFOLD)
        assert grave(held.page) == []


@pytest.mark.parametrize("name", ["porch-door-jamb", "lending-desk-panel"])
def test_a_phone_shows_it_without_moving_sideways(browser: Any, report: Callable[[str], Path], name: str) -> None:
    with on_form(browser, report(name), viewport=PHONE, is_mobile=True, has_touch=True, device_scale_factor=2) as held:
        assert held.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        sizes = held.page.evaluate("[...document.querySelectorAll('button')].map(b => [b.offsetWidth, b.offsetHeight])")
        assert sizes
        assert min(min(size) for size in sizes) >= 24  # WCAG 2.2, 2.5.8: targets of 24 CSS pixels at least
        assert grave(held.page) == []


def test_a_layer_is_hidden_and_shown_by_its_button(browser: Any, report: Callable[[str], Path]) -> None:
    with on_form(browser, report("porch-door-jamb")) as held:
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
    with on_form(browser, report(name), device_scale_factor=3) as held:  # so that lines are thin beside the layer
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
    with on_form(browser, report("porch-door-jamb")) as held:
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
    with on_form(browser, report("porch-door-jamb")) as held:
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
    with on_form(browser, report("porch-door-jamb")) as held:
        assert held.complaints == []
        assert not held.page.locator("canvas").is_visible()
        assert not held.page.locator(".tools").is_visible()
        assert held.painted(".picture").mean() > 0.05
        assert grave(held.page) == []


def test_without_scripts_nothing_is_missing_but_the_turning(browser: Any, report: Callable[[str], Path]) -> None:
    with on_form(browser, report("porch-door-jamb"), java_script_enabled=False) as held:
        assert held.page.locator(".picture").is_visible()
        assert not held.page.locator(".tools").is_visible()


def test_the_keys_reach_and_open_everything_in_order(browser: Any, report: Callable[[str], Path]) -> None:
    """Tab goes from the skip link over contents and folds; Enter opens those; what they hold follows, with a ring."""
    with opened(browser, report("porch-door-jamb")) as held:
        seen: list[str] = []
        for _ in range(90):
            held.page.keyboard.press("Tab")
            on = held.page.evaluate(
                "(e => [e.className || e.id || e.dataset.layer || e.dataset.do || e.getAttribute('href')"
                " || (e.matches('summary') && e.querySelector('h2')?.innerText) || e.tagName,"
                " getComputedStyle(e).outlineStyle, e.matches('.fold > summary')])(document.activeElement)"
            )
            if on[0] == "BODY":
                break
            seen.append(on[0])
            assert on[1] != "none", on
            if on[2] and on[0] != "Files":
                held.page.keyboard.press("Enter")
        assert seen[0] == "skip"
        wanted = ["#read", "#files", "Part", "Plies", "Form", "CANVAS", "1", "8", "part", "all", "apart", "left",
                  "reset", "Layers", "Files"]  # fmt: skip
        places = [seen.index(name) for name in wanted]
        assert places == sorted(places)
        assert seen.count("wide") >= 5
        assert held.page.evaluate("document.querySelectorAll('details.fold[open]').length") == 7


def test_the_printed_report_is_whole(browser: Any, report: Callable[[str], Path], made: Callable[[str], Form]) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    form = made("porch-door-jamb")
    with opened(browser, report("porch-door-jamb"), color_scheme="dark") as held:
        printed = held.page.pdf(prefer_css_page_size=True)
        assert held.page.evaluate("document.querySelectorAll('details.fold[open]').length") == 0  # as it was before
        held.page.emulate_media(media="print", color_scheme="dark")
        assert not held.page.locator(".tools").is_visible()
        assert not held.page.locator("#asked").is_visible()
    document = pdfium.PdfDocument(printed)
    pages = [" ".join(page.get_textpage().get_text_bounded().replace("\u00a0", " ").split()) for page in document]
    said = " ".join(pages)
    assert [finding.code for finding in form.all_findings if finding.code not in said.replace(" ", "")] == []
    assert "The recipe, the shop and the files" in said
    for i, page in enumerate(pages, start=1):
        assert f"{form.recipe.name}, {form_code(form.recipe)}" in page
        assert f"{i} of {len(pages)}" in page
    assert [round(side / 72 * 25.4) for side in document[0].get_size()] == [216, 279]  # letter, for a shop in inches
    for page in document:
        image = np.asarray(page.render(scale=0.5).to_pil().convert("L"))
        assert (image > 200).mean() > 0.6  # paper stays white, whatever the screen was
    document.close()


#: Pages of its paper that each report took before it had a front and folds, counted with Chromium 156.
PAGES_BEFORE = {"porch-door-jamb": 14, "lending-desk-panel": 13, "clock-surround": 11}


@pytest.mark.parametrize("name", PAGES_BEFORE)
def test_it_takes_a_third_of_the_paper_and_ends_on_more_than_a_row(
    browser: Any, report: Callable[[str], Path], made: Callable[[str], Form], name: str
) -> None:
    """With no script to open the folds: style alone does it."""
    pdfium = pytest.importorskip("pypdfium2")
    with opened(browser, report(name), java_script_enabled=False) as held:
        document = pdfium.PdfDocument(held.page.pdf(prefer_css_page_size=True))
    pages = [page.get_textpage().get_text_bounded() for page in document]
    assert len(pages) <= PAGES_BEFORE[name] / 3
    assert pages[-1].count("\n") > 12
    said = "".join("".join(pages).split())
    assert [finding.code for finding in made(name).all_findings if finding.code not in said] == []
    document.close()


@pytest.mark.parametrize("name", ["porch-door-jamb", "lending-desk-panel", "clock-surround"])
def test_it_fits_every_width_and_breaks_no_word(browser: Any, report: Callable[[str], Path], name: str) -> None:
    with opened(browser, report(name)) as held:
        for width in (360, 768, 1300, 1920):
            held.page.set_viewport_size({"width": width, "height": 900})
            found = held.page.evaluate(MEASURES)
            assert (found["broad"], found["cut"], found["broken"]) == ([], [], []), width
            assert found["letters"] >= 13.5, width


@pytest.mark.parametrize("width", [360, 1300])
def test_the_verdict_is_first_and_largest(browser: Any, report: Callable[[str], Path], width: int) -> None:
    with opened(browser, report("porch-door-jamb"), viewport={"width": width, "height": 900}) as held:
        sizes = held.page.evaluate(
            "[...document.querySelectorAll('body *')]"
            ".filter(e => e.checkVisibility() && !e.closest('.skip, svg, script')"
            " && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))"
            ".map(e => [e.className, parseFloat(getComputedStyle(e).fontSize)])"
        )
        assert sizes[0] == ["verdict warning", 28]
        assert max(size for _, size in sizes[1:]) < 28
        assert {size for _, size in sizes} <= {14, 16, 20, 28}
        beside = held.page.evaluate(
            "document.querySelector('.curve').getBoundingClientRect().top"
            " < document.querySelector('.eight').getBoundingClientRect().top"
        )
        assert beside is (width >= 900)


@pytest.mark.parametrize("scripts", ["with scripts", "without"])
def test_a_link_opens_the_section_that_it_leads_to(browser: Any, report: Callable[[str], Path], scripts: str) -> None:
    with opened(browser, report("porch-door-jamb"), java_script_enabled=scripts != "without") as held:
        for name in ("part", "files"):
            assert not held.page.locator(f"#{name}").is_visible()
            held.page.locator(f"nav a[href='#{name}']").click()
            held.page.locator(f"#{name}").wait_for(state="visible", timeout=2000)
            assert held.page.locator(f"#{name}").bounding_box()["y"] < 900


def test_a_flat_form_fills_the_frame_that_turns(browser: Any, report: Callable[[str], Path]) -> None:
    with on_form(browser, report("lending-desk-panel")) as held:
        painted = held.painted("canvas")
        rows, columns = np.flatnonzero(painted.any(axis=1)), np.flatnonzero(painted.any(axis=0))
        assert (rows[-1] - rows[0]) / painted.shape[0] > 0.85
        assert (columns[-1] - columns[0]) / painted.shape[1] > 0.85


def test_markup_in_a_note_does_not_run(browser: Any, changed: Callable[..., Form], tmp_path: Path) -> None:
    note = "</script><script>document.title='taken'</script><img src=x onerror=document.title='taken'>"
    form = changed("newel-handrail", ("units: in", f'units: in\nnote: "{note}"'))
    path = tmp_path / "report.html"
    path.write_bytes(report_page(form, FILES)[0])
    with opened(browser, path) as held:
        assert held.complaints == []
        assert held.page.title() == "newel-handrail: job report"
        assert note in held.page.locator(".front .note").inner_text()


def test_the_policy_stops_what_slips_in(browser: Any, report: Callable[[str], Path]) -> None:
    path = report("newel-handrail")
    spoiled = path.read_text(encoding="utf-8").replace("</main>", "<script>document.title='taken'</script></main>")
    path.write_text(spoiled, encoding="utf-8")
    with opened(browser, path) as held:
        assert held.page.title() == "newel-handrail: job report"
        assert any("Content Security Policy" in line for line in held.complaints)
