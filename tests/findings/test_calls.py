"""Every place where a finding is made gives the names that its row's words need: found without running it.

A name that is left out fails only where that finding is made, which may be one part in a thousand.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from formgen.findings.registry import Row, rows
from formgen.findings.wording import reached

PACKAGE = Path(__file__).parents[2] / "formgen"
ROWS: dict[str, dict[str | None, Row]] = {}
for _code, _case, _row in rows():
    ROWS.setdefault(_code, {})[_case] = _row


def calls() -> Iterator[tuple[str, ast.Call]]:
    """Calls of `finding` whose code and names are written there, each with where it stands."""
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            named = isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "finding"
            if not named or not isinstance(node.args[0], ast.Constant):  # type: ignore[attr-defined]
                continue
            if all(keyword.arg for keyword in node.keywords):  # type: ignore[attr-defined]
                yield f"{path.relative_to(PACKAGE)}:{node.lineno}", node  # type: ignore[attr-defined,misc]


CALLS = list(calls())


def cases_of(call: ast.Call, held: dict[str | None, Row]) -> list[Row]:
    """The cases that a call may ask for: the one it names, or all where it is worked out."""
    if len(call.args) < 3:
        return [held[None]] if None in held else list(held.values())
    case = call.args[2]
    return [held[case.value]] if isinstance(case, ast.Constant) else list(held.values())  # type: ignore[index]


def test_most_findings_are_made_with_code_and_names_in_sight() -> None:
    assert len(CALLS) > 40


@pytest.mark.parametrize(("where", "call"), CALLS, ids=[where for where, _ in CALLS])
def test_a_call_gives_every_name_that_its_words_need(where: str, call: ast.Call) -> None:
    code = call.args[0].value  # type: ignore[attr-defined]
    given = {keyword.arg for keyword in call.keywords}
    needed = [reached(row.words, row.sentence, row.do, row.source) for row in cases_of(call, ROWS[code])]
    keyed = {name for row in ROWS[code].values() for name, word in row.words.items() if isinstance(word, str)}
    missing = set.intersection(*needed) - given - keyed
    assert not missing, f"{where}: {code} needs {', '.join(sorted(missing))}"
    if len(needed) == 1:
        unused = given - needed[0] - {"value", "limit"}
        assert not unused, f"{where}: {code} has no word for {', '.join(sorted(map(str, unused)))}"
