"""The press-day sheet as lines of text, as its goldens hold it.

In: steps. Out: one line for each thing on the sheet: `!` a caution, `[ ]` a box to tick, `____` a place to write,
`##` a number that is read across the bench, `|` a row of a table. Lengths and order are those of the page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from formgen.reports.press_sheet.grids import Cuts, Grid
from formgen.reports.press_sheet.items import Item, Say, Step, Table, Tick, Write

BLANK = "____"


def as_lines(steps: Sequence[Step]) -> list[str]:
    """Every step with its number, its cautions above it."""
    lines: list[str] = []
    for number, step in enumerate(steps, start=1):
        said = (f"   ! {care.text}{f' [{care.source}]' if care.source else ''}" for care in step.cautions)
        lines += ["", *said, f"{number:2d} {step.title}"]
        lines += [f"   {line}" for item in step.items for line in _lines(item)]
    return lines[1:]


def _lines(item: Item) -> Iterable[str]:
    match item:
        case Tick():
            yield f"[ ] {item.text}"
            yield from (f"    {label} {BLANK}" for label in item.labels)
        case Say():
            yield f"    {item.text}"
        case Write():
            yield from (f"    {label} {BLANK}" for label in item.labels)
        case Grid():
            yield f"    {'  '.join(f'[ ] {cell}' for cell in item.cells)}"
        case Cuts():
            yield f"    {item.of}"
            yield from [f"    ## {item.sizes} ##"] if item.sizes else []
            yield f"    {'  '.join(f'[ ] ## {ply}:  {long} ##' for ply, long in item.lengths)}"
        case Table():
            yield f"    | {' | '.join(item.head)} |"
            for row in item.rows:
                yield f"    | {' | '.join((*row, *(BLANK for _ in item.head[2:])))} |"
