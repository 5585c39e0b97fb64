"""The tree keeps its shape: stages import earlier stages only, `check` stays light, and the papers name what exists."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections import Counter
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from formgen.findings import Severity
from formgen.pipeline import run
from formgen.recipe.load import load_recipe

ROOT = Path(__file__).parents[1]
ORDER = (
    "findings",
    "geometry",
    "recipe",
    "curve",
    "laminate",
    "press",
    "makes",
    "form",
    "holding",
    "mending",
    "answers",
    "sheets",
    "drafting",
    "outputs",
    "reports",
    "building",
    "cli",
)
CORE = {
    "amounts",
    "errors",
    "findings",
    "fixed",
    "identity",
    "lengths",
    "libraries",
    "quoted",
    "stopping",
    "units",
    "verdict",
}
MODULES = sorted((ROOT / "formgen").rglob("*.py"))


def _imports(path: Path) -> set[str]:
    """Modules of formgen that a file imports, wherever in the file it does."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
            names.update(f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_stage_imports_earlier_stages_only(path: Path) -> None:
    parts = path.relative_to(ROOT / "formgen").parts
    if parts[0] not in ORDER:
        assert len(parts) == 1, f"{path} belongs to no stage"
        return
    allowed = {*ORDER[: ORDER.index(parts[0]) + 1], *CORE}
    if parts[0] in {"building", "cli"}:
        allowed |= {"pipeline"}
    for name in _imports(path):
        if name.startswith("formgen."):
            stage = name.split(".")[1]
            assert stage in allowed or stage == "__version__", f"{path} imports {name}"


def test_no_module_imports_itself_in_a_circle() -> None:
    """Wherever in a file the import stands: what is imported late to break a circle is still one."""
    names = {_dotted(path): path for path in MODULES}
    graph = {name: {other for other in _imports(path) if other in names} - {name} for name, path in names.items()}
    for name, others in graph.items():  # a package's door imports what it lays open; whoever names a module asks for it
        graph[name] = {o for o in others if not any(other.startswith(f"{o}.") for other in others)}
    assert list(TopologicalSorter(graph).static_order())


def _dotted(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def test_every_room_has_a_door() -> None:
    """What is inside, where to begin, what comes in and out: more than a line, and it names a module that is there."""
    for package in sorted({path.parent for path in MODULES} - {ROOT / "formgen"}):
        text = ast.get_docstring(ast.parse((package / "__init__.py").read_text(encoding="utf-8"))) or ""
        named = {name for name in re.findall(r"`([a-z_/]+)`", text) if (package / f"{name}.py").is_file()}
        assert len(text) > 60, package
        assert named or package.name == "cli", package


def test_no_name_begins_with_what_a_folder_could_be_called() -> None:
    """Three files of one prefix are a folder that nobody made."""
    for package in sorted({path.parent for path in MODULES}):
        prefixes = Counter(path.stem.split("_")[0] for path in package.glob("*_*.py") if path.stem != "__init__")
        alone = {path.stem for path in package.glob("*.py")}
        assert not [p for p, n in prefixes.items() if n + (p in alone) > 2], package


def test_docstrings_begin_with_what_is_done_or_returned() -> None:
    """A verb or a thing: a question word in front makes a title of it that says less."""
    asking = re.compile(r"(What|Whether|How|Where|Which|When|Why)\b")
    kinds = (ast.Module, ast.ClassDef, ast.FunctionDef)
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            said = (ast.get_docstring(node) or "") if isinstance(node, kinds) else ""
            assert not asking.match(said), f"{path.relative_to(ROOT)}: {said.splitlines()[0]}"


@pytest.mark.parametrize(
    ("library", "places"),
    [
        ("cadquery", {"form/solid.py", "form/solid_kernel.py", "outputs/step"}),
        ("OCP", {"form/solid.py", "outputs/step"}),
        ("ezdxf", {"libraries.py", "curve/drawn", "outputs/dxf", "drafting"}),
    ],
)
def test_kernels_sit_at_the_edge(library: str, places: set[str]) -> None:
    for path in MODULES:
        if any(name.split(".")[0] == library for name in _imports(path)):
            inside = path.relative_to(ROOT / "formgen").as_posix()
            assert any(inside == p or inside.startswith(f"{p}/") for p in places), f"{inside} imports {library}"


def test_check_imports_no_heavy_library() -> None:
    code = (
        "import sys; from formgen.cli import main\n"
        "try: main(['check', sys.argv[1]])\n"
        "except SystemExit as end: assert end.code == 0, end.code\n"
        "heavy = ('cadquery', 'OCP', 'ezdxf', 'scipy', 'shapely', 'trimesh')\n"
        "print(*sorted(m for m in heavy if m in sys.modules), file=sys.stderr)"
    )
    command = [sys.executable, "-c", code, str(ROOT / "recipes" / "porch-door-jamb.yaml")]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    assert "porch-door-jamb" in done.stdout
    assert done.stderr.strip() == ""


@pytest.mark.parametrize("paper", ["README.md", "DEVELOPERS.md"])
def test_every_path_that_the_papers_name_exists(paper: str) -> None:
    text = (ROOT / paper).read_text(encoding="utf-8")
    named = {
        path
        for path in re.findall(r"[`(]([\w./-]*[a-z][\w./-]*/[\w.-]+|[\w-]+\.(?:md|yaml|toml))[`)]", text)
        if not path.startswith(("output/", "layers/", "http", "shop.yaml"))
    }
    named |= set(re.findall(r"recipes/[\w.-]+", text))
    assert len(named) > 3
    for path in named:
        assert (ROOT / path).exists(), f"{paper} names {path}"


def test_the_recipe_in_the_readme_works_alone_and_is_the_shipped_one(tmp_path: Path) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    six, block, points = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    (tmp_path / "porch-door-jamb.yaml").write_text(block, encoding="utf-8")
    assert run(load_recipe(tmp_path / "porch-door-jamb.yaml")).verdict.may
    shown = load_recipe(tmp_path / "porch-door-jamb.yaml")
    shipped = load_recipe(ROOT / "recipes" / "porch-door-jamb.yaml")
    dumps = [recipe.asked.model_dump() for recipe in (shown, shipped)]
    assert [dump["form"].pop("sheet") for dump in dumps] == ["MDF 3/4 in", "mdf-3-4"]
    assert dumps[0] == dumps[1]
    (tmp_path / "six.yaml").write_text(six, encoding="utf-8")
    assert len(six.splitlines()) == 6
    measured = points.partition("arch:")[2]
    readings = re.sub(r"^arch:.*\n", lambda _: f"arch:{measured}", "units: mm\n" + six, flags=re.MULTILINE)
    (tmp_path / "points.yaml").write_text(readings, encoding="utf-8")
    assert run(load_recipe(tmp_path / "points.yaml")).arch.fit.worst_mm < 3.0  # type: ignore[union-attr]
    assert {found.severity for found in run(load_recipe(tmp_path / "six.yaml")).all_findings} == {Severity.NOTE}


def test_the_first_afternoon_of_the_readme(tmp_path: Path) -> None:
    """Its commands in an empty folder, one after the other, and the files that it says to open."""
    text = (ROOT / "README.md").read_text(encoding="utf-8").split("## The first afternoon")[1].split("\n## ")[0]
    block = re.search(r"```sh\n(.*?)```", text, re.DOTALL)
    assert block is not None
    for line in block[1].splitlines():
        words = line.split("#")[0].split()
        assert words[0] == "formgen"
        command = [sys.executable, "-m", *words]
        subprocess.run(
            command, cwd=tmp_path, check=True, capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)}
        )
    named = re.findall(r"^- `([\w./-]+)`", text, re.MULTILINE)
    assert len(named) == 4
    assert all((tmp_path / "output" / "porch-door" / name).exists() for name in named)


def test_the_test_command_of_the_readme_is_what_ci_runs() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    assert any(block.strip().endswith("pytest") for block in blocks)
    assert re.search(r"^pytest\b", (ROOT / ".ci" / "run").read_text(encoding="utf-8"), re.MULTILINE)


def test_nothing_else_stands_at_the_top() -> None:
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=True, cwd=ROOT).stdout.split()
    top = {name.split("/")[0] for name in listed if not name.startswith(".")}
    assert top <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "formgen", "recipes", "tests", "output", "LICENSE"}


def test_every_premise_names_its_test_and_findings_that_exist() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Premises")[1].split("\n## ")[0]
    rows = [line.split(" | ") for line in text.splitlines() if line.startswith("| ") and "---" not in line][1:]
    assert len(rows) > 20
    source = "".join(path.read_text(encoding="utf-8") for path in MODULES)
    for premise, standing, rests, held in rows:
        assert re.search("published|computed|practice|memory|geometry", standing), premise
        tests = re.findall(r"`(tests/[^`]+)`", held)
        assert tests, premise
        for test in tests:
            assert (ROOT / test).is_file(), f"{premise}: {test}"
        for code in re.findall(r"`([a-z]+\.[a-z]+(?:-[a-z]+)+|form\.[a-z]+)`", rests):
            assert f'"{code}"' in source, f"{premise}: {code}"


def test_no_file_holds_what_a_merge_left_open() -> None:
    marks = (*tuple(sign * 7 for sign in "<>"), "=" * 7 + "\n")
    kept = [ROOT / name for name in ("README.md", "DEVELOPERS.md")]
    kept += [path for room in ("formgen", "tests", "recipes") for path in (ROOT / room).rglob("*.*")]
    suffixes = {".py", ".md", ".toml", ".yaml", ".html", ".css", ".js", ".csv"}
    left = [
        str(path)
        for path in kept
        if path.suffix in suffixes and "__pycache__" not in path.parts
        for line in path.read_text(encoding="utf-8", errors="replace").splitlines(keepends=True)
        if line.lstrip().startswith(marks)
    ]
    assert left == []
