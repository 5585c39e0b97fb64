"""Stage `reports`: the parts that come off a form, a row for each opening, and what a tape reads on each.

In: a Form. Out: texts in the recipe's units. The numbers come from `formgen/makes` and `formgen/curve/readings.py`;
here they are only written down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from formgen.curve.readings import Reading
from formgen.form.model import Form
from formgen.lengths import Units, write_fine, write_length
from formgen.makes.model import Made
from formgen.recipe.as_asked import form_code

#: Over the columns of `makes_rows`.
MAKES_HEADS = (
    "opening", "code", "parts", "face", "span", "rise", "trim right", "trim left", "ply wide", "ply 1", "last ply",
    "step", "wood",
)  # fmt: skip

Row = tuple[str, ...]
#: Most openings that are listed on the press-day sheet's own page.
MOST_ON_SHEET = 6


def is_shared(form: Form) -> bool:
    """Tell whether several openings come off the form."""
    return len(form.makes) > 1


def has_list(form: Form) -> bool:
    """Tell whether so many openings come off the form that their list has pages of its own."""
    return len(form.makes) > MOST_ON_SHEET


def code_text(form: Form) -> str:
    """The form's code, which is its part's where it makes one opening."""
    return form_code(form.recipe)


def makes_rows(form: Form) -> tuple[Row, ...]:
    """A row for each opening, lengths without their unit; no wood is named where all parts are of one."""
    rows = tuple(_row(part, form.recipe.units) for part in form.makes)
    return rows if len({row[-1] for row in rows}) > 1 else tuple((*row[:-1], "") for row in rows)


def makes_columns(form: Form) -> tuple[Row, tuple[Row, ...]]:
    """Heads and rows of those columns in which some opening has something."""
    rows = makes_rows(form)
    kept = [i for i in range(len(MAKES_HEADS)) if any(row[i] for row in rows)]
    heads, *cells = (tuple(row[i] for i in kept) for row in (MAKES_HEADS, *rows))
    return heads, tuple(cells)


def trim_text(form: Form) -> str:
    """From where the trims are measured, and along what, in one sentence."""
    places = {
        "centre line": "the centre line",
        "form's left trim line": "the point, which is the form's left trim line,",
        "form's right trim line": "the right trim line",
    }
    place = places[form.makes[0].trim.measured_from]
    return f"Trims are measured from {place} along the form's face, with the part lying on it."


def span_text(form: Form) -> str:
    """Between what the spans reach, and on which face they and the rises are measured."""
    chord = any(part.gauge.base != "springing line" for part in form.makes)
    over = "from A to B of its gauge page" if chord else "between its springing points"
    return f"the span {over}, the rise above that line, both on the face that is named and as the form makes them"


def within_text(mm: float, units: Units) -> str:
    """Say how far off something may be: a limit is rounded down, below one mark as a caliper shows it."""
    mark = 25.4 / 64.0 if units == "in" else 0.1
    marks = math.floor(mm / mark + 1e-6)
    return write_length(marks * mark, units) if marks or mm <= 0.0 else write_fine(mm, units)


def reading_text(reading: Reading) -> str:
    """Say what is read: `span at the feet`, `rise at the middle`, `ordinate 3`."""
    if reading.name == "ordinate":
        return f"ordinate {reading.number}"
    place = reading.place if reading.place.startswith("station") else f"the {reading.place}"
    return f"{reading.name} at {place}"


def first_readings(part: Made, *, one_face: bool = False) -> tuple[Reading, ...]:
    """Return what is read as soon as the part is released.

    Args:
        part: which part.
        one_face: on the measured face alone, on the inside where the centre line was measured.
    """
    face = "outside" if part.measured_on == "outside" else "inside"
    return tuple(r for r in part.readings if "at release" in r.when and (not one_face or r.face == face))


def by_face(readings: Iterable[Reading]) -> list[dict[str, Reading]]:
    """Readings of one place together, those of its inside and its outside face, in the order of the list."""
    rows: dict[tuple[str, str], dict[str, Reading]] = {}
    for reading in readings:
        rows.setdefault((reading.name, reading.place), {})[reading.face] = reading
    return list(rows.values())


def _row(part: Made, units: Units) -> Row:
    laminate = part.pressing.laminate
    lengths = (
        part.span_mm, part.rise_mm, part.trim.right_mm, part.trim.left_mm, laminate.materials.cuts[0].width_mm,
        part.ply_lengths_mm[0], part.ply_lengths_mm[-1], part.ply_step_mm,
    )  # fmt: skip
    woods = ", ".join(dict.fromkeys(ply.wood for ply in laminate.plies))
    bare = (write_length(mm, units).removesuffix(f" {units}") for mm in lengths)
    return (part.mark, part.code, str(part.quantity), part.measured_on, *bare, woods)
