"""A browser to open pages in: Debian's Chromium by Playwright, with no network, a fresh profile for each test."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--enable-unsafe-swiftshader",
)  # fmt: skip
DESKTOP = {"width": 1200, "height": 900}
PHONE = {"width": 360, "height": 780}


@dataclass
class Opened:
    """A page that is open, and what it complained of."""

    page: Any
    complaints: list[str] = field(default_factory=list)
    asked_for: list[str] = field(default_factory=list)

    def settle(self) -> None:
        """Wait until what was asked for has been drawn."""
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done())))")

    def pixels(self, selector: str) -> NDArray[np.int16]:
        """What an element shows: (height, width, 3), 0 to 255."""
        from PIL import Image

        self.settle()
        shot = Image.open(io.BytesIO(self.page.locator(selector).screenshot()))
        return np.asarray(shot.convert("RGB"), dtype=np.int16)

    def painted(self, selector: str) -> NDArray[np.bool_]:
        """Which pixels inside an element's frame are not its ground, the colour of its upper left corner."""
        inside = self.pixels(selector)[6:-6, 6:-6]
        return np.asarray(np.abs(inside - inside[0, 0]).max(axis=2) > 24)


#: Runs in the page: what is broader than it; frames whose tables they cut; words with a line's end inside them (one may
#: end after a hyphen; a hash may end anywhere); the smallest letters in the picture of the curve, in px.
MEASURES = r"""() => {
  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const wide = document.documentElement.clientWidth;
  const name = (e) => `${e.tagName} ${e.getAttribute("class") || ""} ${Math.round(e.getBoundingClientRect().right)}`;
  const seen = [...document.querySelectorAll("body *")].filter((e) => !e.closest(".skip, thead, svg"));
  const broad = seen.filter((e) => e.getBoundingClientRect().right > wide + 0.5).map(name);
  const cut = [...document.querySelectorAll(".wide")].filter((e) => e.scrollWidth > e.clientWidth + 1);
  const broken = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const node = texts.currentNode, holder = node.parentElement;
    if (!holder.checkVisibility() || holder.closest("svg, script, td details")) continue;
    for (const word of node.data.matchAll(holder.closest(".whole") ? /\S+/g : /[^\s-]+/g)) {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      const lines = new Set([...range.getClientRects()].filter((r) => r.width > 0).map((r) => Math.round(r.top)));
      if (lines.size > 1) broken.push(word[0]);
    }
  }
  const letters = [...document.querySelectorAll("figure.curve text")].map((e) =>
    parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a);
  return { broad, cut: cut.map((e) => e.getAttribute("aria-label")), broken, letters: Math.min(...letters) };
}"""


@contextmanager
def chromium() -> Iterator[Callable[..., Any]]:
    """A function that starts a browser, given more flags; the test is skipped where there is none."""
    pytest.importorskip("playwright", reason="playwright is not installed")
    from playwright.sync_api import sync_playwright

    path = shutil.which("chromium")
    if path is None:
        pytest.skip("no chromium on the path: install Debian's package to run the pages in a browser")
    with sync_playwright() as playwright:
        started: list[Any] = []

        def start(*more: str) -> Any:
            started.append(playwright.chromium.launch(executable_path=path, args=[*FLAGS, *more]))
            return started[-1]

        try:
            yield start
        finally:
            for browser in started:
                browser.close()


@contextmanager
def opened(browser: Any, path: Path, **context: Any) -> Iterator[Opened]:
    """A file in a window of its own, offline; nothing moves by itself."""
    settings = {"viewport": DESKTOP, "offline": True, "reduced_motion": "reduce", **context}
    window = browser.new_context(**settings)
    page = window.new_page()
    held = Opened(page)
    page.on("console", lambda said: held.complaints.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: held.complaints.append(str(error)))
    page.on("request", lambda request: held.asked_for.append(request.url))
    try:
        page.goto(path.as_uri())
        if settings.get("java_script_enabled", True):
            held.settle()
        yield held
    finally:
        window.close()


def grave(page: Any) -> list[str]:
    """What axe-core finds serious or critical."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        f"{rule['id']}: {node['target']}"
        for rule in found
        if rule["impact"] in ("serious", "critical")
        for node in rule["nodes"]
    ]
