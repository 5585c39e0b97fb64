"""Stage `recipe`: the data files of the catalogue, read row by row into entries, each mistake named by file and row.

In: `data/<name>.toml`: one table of rows, named or in order, and `[source]` where rows share sources by a short name.
Out: frozen entries. Keys are checked as they are read; `tests/recipe/test_catalogue.py` holds every value to its type.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any, TypeVar

from formgen.errors import RecipeError

E = TypeVar("E")

#: Where the data files lie.
DATA = Path(__file__).parent / "data"


def read_table(file: str, folder: Path = DATA) -> dict[str, Any]:
    """A data file as it stands."""
    return tomllib.loads((folder / f"{file}.toml").read_text(encoding="utf-8"))


def named_entries(kind: type[E], file: str, folder: Path = DATA) -> Mapping[str, E]:
    """Every row `[….name]` of a data file as an entry, by its name.

    Raises:
        RecipeError: a row that lacks a key, or has one that its entry does not know.
    """
    table, rows, sources = _rows(file, folder)
    return {
        name: _entry(kind, {"name": name, **row}, sources, f'{file}.toml: [{table}."{name}"]')
        for name, row in rows.items()
    }


def listed_entries(kind: type[E], file: str, folder: Path = DATA) -> tuple[E, ...]:
    """Every row `[[…]]` of a data file as an entry, in order.

    Raises:
        RecipeError: as `named_entries`.
    """
    table, rows, sources = _rows(file, folder)
    return tuple(_entry(kind, row, sources, f"{file}.toml: [[{table}]] {i}") for i, row in enumerate(rows, 1))


def _rows(file: str, folder: Path) -> tuple[str, Any, Mapping[str, str] | None]:
    """The one table of a file that holds rows: its name, what it holds, and the sources that rows name."""
    data = read_table(file, folder)
    sources = data.pop("source", None)
    if len(data) != 1:
        raise RecipeError(f"{file}.toml: tables {', '.join(data)}, expected one table of rows; take the others out")
    ((table, rows),) = data.items()
    return table, rows, sources


def _entry(kind: type[E], row: dict[str, Any], sources: Mapping[str, str] | None, where: str) -> E:
    known = {f.name: f.default is MISSING for f in fields(kind)}  # type: ignore[arg-type]
    missing = [key for key, needed in known.items() if needed and key not in row]
    strange = [key for key in row if key not in known]
    if missing:
        raise RecipeError(f"{where} has no {', '.join(missing)}; add {'it' if len(missing) == 1 else 'them'}")
    if strange:
        raise RecipeError(f"{where} has {', '.join(strange)}, expected only {', '.join(known)}; look at the spelling")
    if sources is not None:
        named = row["source"]
        if named not in sources:
            raise RecipeError(f"{where}: source = {named!r}, expected one of {', '.join(sources)}; add it to [source]")
        row = {**row, "source": sources[named]}
    return kind(**{key: _frozen(value) for key, value in row.items()})


def _frozen(value: Any) -> Any:
    return tuple(_frozen(v) for v in value) if isinstance(value, list) else value
