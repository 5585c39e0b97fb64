"""The job report as text: all of it escaped, nothing outside, the same bytes, the numbers of the stages."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from formgen.answers import HEADS
from formgen.findings import Severity
from formgen.findings import finding as found_of
from formgen.form.model import Form
from formgen.lengths import write_length
from formgen.outputs.folder.verify import verify
from formgen.outputs.folder.write import write_all
from formgen.outputs.record.asked import recipe_from_job
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.load import load_recipe
from formgen.reports.pages import PAGES
from formgen.reports.rows.decisions import decisions
from formgen.reports.web.report import beyond_text, report_page

ROOT = Path(__file__).parents[2]
FILES = {"form.step": {"bytes": 12, "sha256": "ab" * 32}, "layers/layer-01.dxf": {"bytes": 34, "sha256": "cd" * 32}}
HOSTILE = '</script><script>document.title="taken"</script><img src=x onerror=alert(1)> & "so" \'on\''
#: HTML Living Standard, 13.1.2: elements without an end tag.
VOID = {"meta", "br", "img", "input", "link", "hr", "wbr"}


class Tags(HTMLParser):
    """Start tags with their attributes, and whether all tags close in order."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.said: list[str] = []
        self.broken: list[str] = []
        self.feed(page)
        self.broken += self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.broken.append(tag)

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in ("script", "style"):
            self.said.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.said).replace("\u00a0", " ").split())


def page_of(form: Form) -> str:
    return report_page(form, FILES)[0].decode("utf-8")


@pytest.fixture
def hostile(changed: Callable[..., Form]) -> Form:
    """A recipe and a shop whose texts are markup."""
    name = f"{HOSTILE} wood"
    wood = f"{{modulus: 10 GPa, strength: 85 MPa, source: {json.dumps(HOSTILE)}}}"
    return changed(
        "newel-handrail",
        ("units: in", f"units: in\nnote: {json.dumps(HOSTILE)}"),
        ("wood: black cherry", f"wood: {json.dumps(name)}"),
        shop=(("units: mm\n", f"units: mm\nwoods: {{{json.dumps(name)}: {wood}}}\n"),),
    )


def test_every_shipped_report_is_whole_and_says_what_the_stages_found(shipped: Form) -> None:
    page = Tags(page_of(shipped))
    assert page.broken == []
    said = page.text
    for part in decisions(shipped):
        for what, answer in part.rows:
            assert what in said
            assert " ".join(answer.split()) in said
    for finding in shipped.all_findings:
        assert finding.message in said
        assert finding.source in said
        assert finding.code in said
    for _, piece in shipped.pieces:
        assert piece.name in said
        for label in piece.labels:
            assert " ".join(label.text.split()) in said
    for name, made in FILES.items():
        assert name in said
        assert str(made["sha256"]) in said


def test_names_are_used_once(shipped: Form) -> None:
    names = [attrs["id"] for _, attrs in Tags(page_of(shipped)).tags if "id" in attrs]
    assert len(names) == len(set(names))


def test_markup_in_texts_is_shown_not_run(hostile: Form) -> None:
    page = page_of(hostile)
    assert HOSTILE not in page
    tags = Tags(page)
    assert tags.broken == []
    assert not [tag for tag, _ in tags.tags if tag == "img"]
    ours = [attrs.get("type") for tag, attrs in Tags(report_page(hostile, {})[0].decode()).tags if tag == "script"]
    assert [attrs.get("type") for tag, attrs in tags.tags if tag == "script"] == ours
    assert " ".join(HOSTILE.split()) in tags.text
    assert tags.text.count("document.title=") >= 3  # note, wood and the source of its strength


def test_the_policy_allows_what_is_there_and_nothing_else(shipped: Form) -> None:
    """Hashes computed here from the page's own blocks, as CSP Level 3 section 6.7.2 says."""
    page = page_of(shipped)
    policy = next(a["content"] for t, a in Tags(page).tags if t == "meta" and "http-equiv" in a) or ""
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    for tag in ("style", "script"):
        blocks = re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        made = {f"'sha256-{base64.b64encode(hashlib.sha256(b.encode()).digest()).decode()}'" for b in blocks}
        assert set(rules[f"{tag}-src"].split()) == (made or {"'none'"})
    for tag, attrs in Tags(page).tags:
        loads = {"src", "srcset", "data", "action", "formaction", "style"} & attrs.keys()
        assert not loads, (tag, loads)
        assert not [name for name in attrs if name.startswith("on")], tag
        if "href" in attrs:
            assert (attrs["href"] or "").startswith("#"), attrs["href"]
    assert "url(" not in page
    assert "@import" not in page


def test_the_verdict_follows_the_findings(made: Callable[[str], Form], changed: Callable[..., Form]) -> None:
    for form in (made("porch-door-jamb"), made("newel-handrail")):
        grave = {f.severity for f in form.all_findings} - {Severity.NOTE}
        expected = f"May be pressed. {'[1-9]+ warnings? to read first' if grave else 'No warnings'}."
        assert re.search(f'class="verdict [a-z]+">{expected}</p>', page_of(form))
    breaks = changed("porch-door-jamb", ("plies: 8", "plies: 2"), ("backing: 6", "backing: 4"))
    assert [f.code for f in breaks.all_findings if f.severity is Severity.PROBLEM]
    assert re.search('class="verdict problem">DO NOT PRESS: [1-9] problems? to mend first.</p>', page_of(breaks))


def test_the_page_leads_with_the_answers_of_the_record(shipped: Form) -> None:
    page, held = Tags(page_of(shipped)).text, job_record(shipped)["found"]["answers"]
    said = [held["verdict"], held["asked"], *(held[key]["text"] for key in HEADS)]
    places = [page.index(" ".join(text.split())) for text in said]
    assert places == sorted(places)
    assert places[-1] < page.index("The part")


#: A number with a unit of the one system, and of the other.
UNITS = {
    "mm": re.compile(r"\d\s?(?:mm|cm|m|kg|kPa|MPa|GPa|N|kN|°C|l|g/m²|m²)(?![\w/²³])"),
    "in": re.compile(r"\d\s?(?:in|lb|lbf|psi|inHg|°F|ft|ft²|ft³)(?!\w)"),
}


def test_the_page_speaks_one_system_of_units(shipped: Form) -> None:
    """But for sources, which quote a standard's title, and dowels, which are bought by the size in the shop file."""
    page, recipe = page_of(shipped), shipped.recipe
    said = Tags(re.sub(r'<span class="source">.*?</span>', "", page, flags=re.DOTALL)).text
    said = said.replace(f" of {write_length(recipe.shop.dowel.diameter_mm, recipe.shop.units)}", "")
    assert UNITS[recipe.units].search(said)
    assert UNITS["mm" if recipe.units == "in" else "in"].findall(said) == []
    heads = [f"1 {unit}" for unit in re.findall(r'<th scope="col"[^>]*>[^<]*, ([^<,]+)</th>', page)]
    assert f"1 {recipe.units}" in heads
    assert not [head for head in heads if UNITS["mm" if recipe.units == "in" else "in"].search(head)]
    assert "≈" not in said
    assert said.count("Lengths to the nearest") == 1


def test_all_but_the_front_and_the_warnings_is_folded(shipped: Form) -> None:
    page = page_of(shipped)
    body = page[page.index("<body>") :]
    folded = re.findall(r'<details class="fold [^"]*"><summary><h2>([^<]*)</h2>', body)
    assert folded[-8:] == ["Part", "Plies", "Press", "Form", "Layers", "Notes", "As asked", "Files"]
    front = body[: body.index("<details")]
    grave = [f for f in shipped.all_findings if f.severity is not Severity.NOTE]
    assert front.count('<li class="warning">') + front.count('<li class="problem">') == len(grave)
    assert front.count("<dt>") == 8 + 6  # answers and facts


def test_a_limit_is_said_once_and_on_its_side() -> None:
    found = found_of("form.heavy", "mm", value=30.0, limit=23.0, figure_source="a book")
    assert beyond_text(found, "mm") == "At most 23 kg."
    assert beyond_text(replace(found, message="It weighs 30 kg; 23 kg is the most."), "mm") == ""
    assert beyond_text(replace(found, value=20.0), "mm") == "At least 23 kg."
    assert beyond_text(replace(found, limit=None), "mm") == ""
    assert beyond_text(replace(found, limit=None, message="It is heavy."), "mm") == "Here 30 kg."
    assert beyond_text(replace(found, value=-30.0, limit=-23.0), "mm") == "At most 23 kg."
    assert beyond_text(replace(found, value=None), "mm") == ""


def test_the_same_bytes_in_every_process(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from formgen.recipe.load import load_recipe;"
        "from formgen.pipeline import run; from formgen.reports.web.report import beyond_text, report_page;"
        "Path(sys.argv[2]).write_bytes(report_page(run(load_recipe(Path(sys.argv[1]))), {})[0])"
    )
    pages = []
    for seed in ("1", "2"):
        target = tmp_path / f"{seed}.html"
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "TZ": f"Etc/GMT+{seed}"}
        recipe = str(ROOT / "recipes" / "clock-surround.yaml")
        subprocess.run([sys.executable, "-c", program, recipe, str(target)], check=True, env=environment, cwd=tmp_path)
        pages.append(target.read_bytes())
    assert pages[0] == pages[1]


@pytest.mark.parametrize("name", ["porch-door-jamb", "decisions/form-bagged-short"])  # with a shop file, and without
def test_the_record_gives_the_same_page(name: str) -> None:
    """A folder is verified against a form made again from its record."""
    form = run(load_recipe(ROOT / "recipes" / f"{name}.yaml"))
    again = run(recipe_from_job(json.loads(json.dumps(job_record(form))), ROOT / "recipes"))
    assert report_page(again, FILES) == report_page(form, FILES)


def test_a_page_is_kept_with_its_files_and_a_changed_one_is_named(made: Callable[[str], Form], tmp_path: Path) -> None:
    form = made("clock-surround")
    ours = [page for page in PAGES if page.names(form) == ("report.html",)]
    target = write_all(form, tmp_path, pages=ours)
    again = run(recipe_from_job(json.loads((target / "job.json").read_text()), target))
    assert verify(target, again, ours).differences == ()  # made again from the record, where nothing is left unsaid
    page = target / "report.html"
    record = json.loads((target / "job.json").read_text())
    for name in record["files"].keys() - {"report.html"}:
        assert record["files"][name]["sha256"] in page.read_text(encoding="utf-8")
    page.write_bytes(page.read_bytes().replace(b"May be pressed", b"May not be pressed"))
    assert any(line.startswith("report.html: was changed") for line in verify(target, form, ours).differences)
