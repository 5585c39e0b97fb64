"""Each finding rendered in inches and in millimetres, with values at both ends of their range."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from formgen.findings import Severity, finding, wording
from formgen.findings.registry import FindingError, Row, rows
from formgen.findings.wording import RANGES, WRITERS, named, numbers_text
from formgen.lengths import Units

ROWS = list(rows())
IDS = [code if case is None else f"{code}-{case}" for code, case, _ in ROWS]
#: Nothing, next to nothing, one, and more than any shop has.
NUMBERS = (0.0, 1e-6, 1.0, 98765.4321)
COUNTS = (1, 2, 1000)
#: A name in braces that was left standing; `{sheeting: …, thickness: …}` is what a shop file holds.
LEFT = re.compile(r"\{[a-z_]*(:[^,}]*)?\}")


def _placeholders(row: Row) -> dict[str, set[str]]:
    """Every name that the row's words lead to, with its writers."""
    found: dict[str, set[str]] = {}
    left, opened = [row.sentence, row.do, row.source], set()
    while left:
        for name, spec in named(left.pop()):
            found.setdefault(name, set()).add(spec)
            word = None if spec else row.words.get(name)
            if word is not None and name not in opened:
                opened.add(name)
                left.extend([word] if isinstance(word, str) else word.values())
    return found


def _value(row: Row, name: str, specs: set[str], turn: int) -> Any:
    """A value for a name: another one in each turn."""
    word = row.words.get(name)
    if specs == {""} and isinstance(word, str):
        return None
    if specs == {""} and word is not None:
        return list(word)[turn % len(word)]
    if specs == {""}:
        return "text"
    if specs & set(RANGES):
        return (NUMBERS[turn % 4], NUMBERS[max(turn % 4, turn // 4 % 4)])
    if any("/" in spec for spec in specs):
        return tuple(range(1, 1 + turn % 3 + 1)) if name == "clamps" and turn % 2 else COUNTS[turn % 3]
    return NUMBERS[turn % 4]


def _given(row: Row, turn: int) -> dict[str, Any]:
    specs = _placeholders(row)
    given = {name: _value(row, name, specs[name], turn) for name in specs}
    return {
        "value": NUMBERS[turn % 4],
        "limit": NUMBERS[(turn + 1) % 4],
        **{n: v for n, v in given.items() if v is not None},
    }


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize(("code", "case", "row"), ROWS, ids=IDS)
def test_it_reads_as_written(code: str, case: str | None, row: Row, units: Units) -> None:
    plurals = {
        tuple(spec.split("/")) for spec in (s for specs in _placeholders(row).values() for s in specs) if "/" in spec
    }
    for turn in range(12):
        found = finding(code, units, case, **_given(row, turn))
        for text in (found.message, found.source, numbers_text(found, units)):
            assert not LEFT.search(text), text
            assert not re.search(r"  |≈| [.,;:]|\.\.|-0\b|\bnan\b|\binf\b|\bNone\b|\bTrue\b", text), text
            for one, several in plurals:
                assert not re.search(rf"\b1 {re.escape(several)}\b", text) or one == several, text
                assert not re.search(rf"(?<![\d.])(?<!\d )(0|2|1000) {re.escape(one)}(?!\w)", text), text
        assert found.message[0].isupper() or found.message[0].isdigit() or found.message.startswith("text"), (
            found.message
        )
        assert found.message.endswith((".", "text")), found.message
        assert found.source
        assert found.severity is row.severity
    other: Units = "mm" if units == "in" else "in"
    assert not re.search(rf"\d {other}\b", found.message), found.message


@pytest.mark.parametrize(("code", "case", "row"), ROWS, ids=IDS)
def test_the_words_are_a_foremans(code: str, case: str | None, row: Row) -> None:
    """Whole sentences; what to do in the imperative; a title of a few words."""
    assert re.match(r"[A-Z0-9{ℓ]", row.sentence)
    assert row.sentence.endswith((".", "}"))
    assert row.do == "" or row.do.endswith((".", "}"))
    assert row.do == "" or not re.match(r"(You|It|There|One|The|We|Please)\b", row.do), row.do
    assert row.severity is Severity.NOTE or row.do or code == "building.not-planned"
    assert 1 <= len(row.title.split()) <= 7
    assert not row.title.endswith(".")
    assert not re.search(r"\b(reckoned|gives? more than|in the mean)\b|! ", f"{row.sentence} {row.do}"), case


def test_no_count_stands_bare_before_its_noun() -> None:
    """`{layers} layers` would read 1 layers; `{layers:layer/layers}` does not."""
    said = [t for _, _, row in ROWS for w in (row.sentence, row.do, *row.words.values())
            for t in ([w] if isinstance(w, str) else w.values())]  # fmt: skip
    nouns = {spec.partition("/")[2].split()[0] for text in said for _, spec in named(text) if "/" in spec}
    assert {"layers", "plies", "clamps"} <= nouns
    for text in said:
        assert not re.search(rf"\{{\w+\}} ({'|'.join(nouns - {'clamp', 'glue'})})\b", text), text


def test_one_of_a_kind_is_one() -> None:
    texts = {n: finding("form.pieces", "mm", value=n) for n in (1, 3)}
    assert "into 1 piece;" in texts[1].message
    assert "into 3 pieces;" in texts[3].message
    assert [numbers_text(texts[n], "mm") for n in (1, 3)] == ["1 piece", "3 pieces"]


def test_every_writer_is_asked_for() -> None:
    asked = {spec for _, _, row in ROWS for specs in _placeholders(row).values() for spec in specs if "/" not in spec}
    words = {spec for _, _, row in ROWS for w in row.words.values() for t in ([w] if isinstance(w, str) else w.values())
             for _, spec in named(t) if "/" not in spec}  # fmt: skip
    assert asked | words == {*WRITERS, *RANGES, ""}


@pytest.mark.parametrize(
    ("code", "case", "values", "said"),
    [
        ("press.leek", None, {}, "press.leek: no such finding"),
        ("jig.warps", None, {}, "jig.warps: no such finding"),
        ("press.leak", "slow", {"value": 1.0}, "press.toml: press.leak: got case slow, expected none"),
        ("press.open-time", None, {}, "press.toml: press.open-time: got case None, expected over, over-usual, may"),
        ("press.leak", None, {"limit": 1.0, "figure_source": "x"}, "press.leak: value is missing"),
        ("press.leak", None, {"value": 1.0, "limit": 1.0}, "press.leak: figure_source is missing"),
        (
            "press.leak",
            None,
            {"value": 1.0, "limit": 1.0, "figure_source": "x", "bags": 2},
            "press.leak: no word says bags",
        ),
        ("press.leak", None, {"value": float("nan"), "limit": 1.0, "figure_source": "x"}, "press.leak: value = nan"),
        ("press.wraps-form", None, {"value": 190.0, "sweep": 3.3, "holds": "both"}, "press.wraps-form: holds = both"),
    ],
)
def test_what_is_wrong_fails_at_once(code: str, case: str | None, values: dict[str, Any], said: str) -> None:
    with pytest.raises(FindingError, match=re.escape(said)):
        finding(code, "mm", case, **values)


def test_a_writer_that_there_is_not_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    row = replace(ROWS[IDS.index("press.leak")][2], sentence="It lost {value:buckets}.")
    monkeypatch.setattr(wording, "row", lambda _code, _case: row)
    with pytest.raises(FindingError, match=r"press\.leak: value:buckets is no writer, expected length, tape"):
        finding("press.leak", "mm", value=1.0, limit=1.0, figure_source="x")
