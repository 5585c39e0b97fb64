"""Findings: all that the program may say, as a list to read: `formgen show findings`.

In: the registry. Out: entries in the order of the stages, one for each case, with all wordings written out and the
names of values in braces.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from string import Formatter
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from formgen.findings.registry import FindingError, Row, Severity, rows
from formgen.fixed import fixed

Said = Annotated[str, Field(min_length=1)]


class _Filled(BaseModel):
    """A row in which every text is a text, and none is empty but what to do."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    severity: Severity
    title: Said
    sentence: Said
    do: str
    source: Said
    unit: str
    steps: tuple[Said, ...]
    handling: bool
    words: Mapping[str, Said | Mapping[str, str]]


@fixed
class Entry:
    """A row of the list: one code, in one of its cases.

    Args:
        code: name, stage first.
        case: which case, where the code has several.
        severity: `note`, `warning` or `problem`.
        title: what it is about.
        sentence: what was found; `(a | b)` is one or the other.
        what_to_do: the advice; empty where there is nothing to do.
        source: where the limit comes from.
    """

    code: str
    case: str | None
    severity: str
    title: str
    sentence: str
    what_to_do: str
    source: str


def entries() -> Iterator[Entry]:
    """Yield all that may be said.

    Raises:
        FindingError: a row that is half filled, or holds what is no text.
    """
    for code, case, row in rows():
        _refuse_half(code, row)
        sentence, do, source = (written_out(text, row.words) for text in (row.sentence, row.do, row.source))
        yield Entry(
            code=code,
            case=case,
            severity=str(row.severity),
            title=row.title,
            sentence=sentence,
            what_to_do=do,
            source=source,
        )


def _refuse_half(code: str, row: Row) -> None:
    try:
        _Filled.model_validate(vars(row))
    except ValidationError as err:
        first = err.errors()[0]
        field = ".".join(str(step) for step in first["loc"])
        raise FindingError(f"{code}: {field}: {first['msg'].lower()}; fill the row") from err


def written_out(template: str, words: Mapping[str, Any]) -> str:
    """Return a wording with the wordings that it names written out, and values as `{name}`."""
    said = []
    for literal, name, spec, _ in Formatter().parse(template):
        said.append(literal)
        if name is None:
            continue
        word = () if spec else words.get(name, ())
        choices = [word] if isinstance(word, str) else list(word.values()) if word else []
        texts = [written_out(choice, words) or "–" for choice in choices]
        _, slash, several = (spec or "").partition("/")
        said.append(
            " | ".join(texts).join("()" if len(texts) > 1 else ("", "")) if texts else f"{{{name.replace('_', ' ')}}}"
        )
        said.append(f" {several}" if slash else "")
    return "".join(said)
