"""Stage `outputs`: a record of formgen read from a file that anybody may have touched.

In: a path. Out: its table, every number one that a record can hold, every text one that can be written; or what is
wrong with it. A reader of JSON takes the last of two equal keys, numbers of any length and half a character: none
of these is in a record that formgen wrote.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path
from typing import Any

from formgen.outputs.folder.exclusive import read_plain
from formgen.quoted import ACTS

#: No record is larger (bytes); one of a thousand forms on their sheets takes a twentieth of it.
LARGEST = 200_000_000
#: No number of a record has more characters.
LONGEST_NUMBER = 40
#: An escape in a text that stands for a character other than itself or an end of line.
_ESCAPE = re.compile(r'\\[^"\\/n]')


class RecordError(ValueError):
    """Raised by a file that no record of formgen can be; says why in a few words."""


def read_record(path: Path) -> dict[str, Any]:
    """The table in a file.

    Raises:
        FileNotFoundError: there is no such file.
        OSError: it cannot be read, is a link or no file.
        RecordError: it holds no record.
    """
    return _read(path)[1]


def read_shown(path: Path) -> dict[str, Any]:
    """The table in a file, of which every key and text may be shown.

    Raises:
        FileNotFoundError, OSError, RecordError: as `read_record`; or it holds that on which a screen acts.
    """
    text, record = _read(path)
    # what a screen acts on stands in the file as such or as an escape: most files need no closer look
    if (_ESCAPE.search(text) or ACTS.search(text.replace("\n", " "))) and _acts(record):
        raise RecordError("it holds what no screen should show, as no record of ours does")
    return record


def _read(path: Path) -> tuple[str, dict[str, Any]]:
    if path.lstat().st_size > LARGEST:
        raise RecordError("it is larger than any record")
    try:
        text = read_plain(path).decode("utf-8")
        record = json.loads(
            text, object_pairs_hook=_table, parse_int=_whole, parse_float=_fraction, parse_constant=_constant
        )
        if _ESCAPE.search(text):
            json.dumps(record, ensure_ascii=False).encode("utf-8")  # half a character cannot be written
    except UnicodeError as err:
        raise RecordError("it holds half a character, expected UTF-8") from err
    except json.JSONDecodeError as err:
        raise RecordError(f"{err.msg}, line {err.lineno}") from err
    except RecursionError as err:
        raise RecordError("its tables lie too deep in one another") from err
    if not isinstance(record, dict):
        raise RecordError("it holds no table")
    return text, record


def _acts(held: Any) -> bool:
    """Tell whether a screen acts on a key or a text of a record."""
    waiting = [held]
    while waiting:
        one = waiting.pop()
        if isinstance(one, str):
            if ACTS.search(one.replace("\n", " ")) is not None:
                return True
        elif isinstance(one, dict):
            waiting += [*one, *one.values()]
        elif isinstance(one, list):
            waiting += one
    return False


def _table(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) != len(pairs):
        raise RecordError("it holds a key twice")
    return table


def _whole(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise RecordError(f"it holds a number of {len(text)} digits")
    return int(text)


def _fraction(text: str) -> float:
    value = float(text) if len(text) <= LONGEST_NUMBER else math.inf
    if not math.isfinite(value):
        raise RecordError("it holds a number too large or too long")
    return value


def _constant(text: str) -> float:
    raise RecordError(f"it holds {text}, expected numbers")
