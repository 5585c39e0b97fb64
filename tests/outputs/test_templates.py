"""Pages from templates: everything is escaped, nothing is missing in silence, amounts stay on one line."""

from __future__ import annotations

from pathlib import Path

import jinja2
import pytest

from formgen.outputs import templates
from formgen.outputs.svg import Svg, tag
from formgen.outputs.templates import filled

PACKAGE = Path(templates.__file__).parents[1]
TEMPLATES = sorted(path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.html"))


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> None:
    """Templates of the tests' own in place of the package's."""
    held = {"one": "<p title='{{ said }}'>{{ said }}</p>", "two": "{{ missing }}", "three": "{{ a.b }}"}
    monkeypatch.setattr(templates._templates(), "loader", jinja2.DictLoader(held))


@pytest.mark.usefixtures("written")
def test_values_are_escaped_and_markup_is_not_escaped_again() -> None:
    assert filled("one", said="<b> & '") == "<p title='&lt;b&gt; &amp; &#39;'>&lt;b&gt; &amp; &#39;</p>"
    assert filled("one", said=tag("path", d="M0 0")).endswith('><path d="M0 0"/></p>')


@pytest.mark.usefixtures("written")
def test_a_name_without_a_value_is_an_error() -> None:
    with pytest.raises(jinja2.UndefinedError, match="missing"):
        filled("two")
    with pytest.raises(jinja2.UndefinedError, match="b"):
        filled("three", a={})


def test_amounts_are_tied_and_markup_is_left_alone() -> None:
    assert templates._tied("3 1/2 in") == "3\u00a01/2\u00a0in"
    assert templates._tied(Svg("5 mm")) == "5 mm"
    assert templates._tied(5) == 5


@pytest.mark.parametrize("name", TEMPLATES)
def test_every_template_compiles_and_takes_nothing_but_its_own_files_as_markup(name: str) -> None:
    assert templates._templates().get_template(name)
    text = (PACKAGE / name).read_text(encoding="utf-8")
    assert text.count("|safe") == (4 if name == "outputs/html/page.html" else 0)  # style, scripts, and their hashes


def test_an_element_escapes_texts_and_attributes_once() -> None:
    assert tag("text", "a < b & c", x=1.0, aria_label='"&"', class_="k", y=None) == (
        '<text x="1.00" aria-label="&quot;&amp;&quot;" class="k">a &lt; b &amp; c</text>'
    )
    assert tag("g", tag("a"), tag("b")) == "<g>\n<a/>\n<b/>\n</g>"
