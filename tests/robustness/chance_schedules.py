"""Opening schedules made by chance: 3 to 30 openings in clusters of like sizes, so that some share a form; both units.

The same seed gives the same schedule. Sizes are drawn so that most forms can be cut and pressed. A spoiled schedule has
one row whose form cannot be cut: a band that runs through itself, no room for two dowels, a piece longer than any
sheet.
"""

from __future__ import annotations

import csv
import io
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tests.robustness.asking import flow, written
from tests.robustness.chance import size_typed

ARCS = ("segmental", "segmental", "segmental", "semicircle", "semicircle", "semicircle")
KINDS = (*ARCS, "pointed", "three-centred", "ellipse")
COLUMNS = ("opening", "quantity", "arch", "span", "rise", "depth", "legs", "measured on", "laminate.plies",
           "form.backing", "remarks")  # fmt: skip
SPOILED = ("too wide", "no dowels", "no sheet")
#: Sheet of the usual shop, and one too narrow for a long piece where pieces may be turned by a right angle only.
_USUAL = {"thickness": 18, "length": 2440, "width": 1220}
_NARROW = {"thickness": 18, "length": 2440, "width": 180}

Row = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Chance:
    """A schedule by chance.

    Args:
        units: of rows and base recipe.
        base, shop: as plain data.
        rows: by column; what is empty keeps the base's value.
        share: `--share`.
        apart: `--apart`.
        sheets: whether sheets are laid out.
        spoiled: what is wrong with the last row, or nothing.
    """

    units: str
    base: dict[str, Any]
    shop: dict[str, Any]
    rows: tuple[Row, ...]
    share: float
    apart: bool
    sheets: bool
    spoiled: str = ""

    @property
    def marks(self) -> list[str]:
        """The openings in their order; the first stands in row 2."""
        return [row["opening"] for row in self.rows]

    def put(self, folder: Path) -> Path:
        """Write schedule, base recipe and shop file into a folder; the schedule."""
        written(folder, flow(self.base), "base.yaml")
        written(folder, flow(self.shop), "shop.yaml")
        out = io.StringIO(newline="")
        table = csv.DictWriter(out, COLUMNS, restval="")
        table.writeheader()
        table.writerows(self.rows)
        return written(folder, out.getvalue(), "openings.csv")


def _typed(mm: float, units: str) -> Any:
    """A size as people type it: a number of mm, or a text of inches."""
    typed = size_typed(mm, units)
    return typed if units == "mm" else str(typed)


def in_mm(typed: object) -> float:
    """A size as it was typed here, in mm: a number of mm, or inches with sixteenths."""
    if not isinstance(typed, str):
        return float(typed)  # type: ignore[arg-type]
    parts = [[float(n) for n in word.split("/")] for word in typed.split()]
    return 25.4 * math.fsum(part[0] / part[1] if len(part) == 2 else part[0] for part in parts)


def chance_schedule(seed: int, *, small: bool = False, spoiled: str = "") -> Chance:
    """A schedule.

    Args:
        seed: which.
        small: few openings, small and shallow, so that they are built in little time.
        spoiled: one of SPOILED: a row more, the last, of which no form can be cut.
    """
    r = random.Random(f"schedule {seed} {small}")  # noqa: S311 -- the same schedules on every run
    units = r.choice(("in", "mm"))
    thickness = _typed(r.choice((9.5, 12.7, 19.05)) if not small else 9.5, units)
    wanted = r.randint(3, 5) if small or spoiled else r.randint(3, 30)
    rows: list[Row] = []
    while len(rows) < wanted:
        rows += _cluster(
            r, units, in_mm(thickness), min(wanted - len(rows), r.randint(1, 3 if small else 8)), small=small
        )
    r.shuffle(rows)
    base = {
        "format": 1,
        "name": "base",
        "units": units,
        "part": {
            "arch": {"kind": "segmental", "span": _typed(900.0, units), "rise": _typed(180.0, units)},
            "measured_on": r.choice(("inside", "outside", "centre")),
            "depth": _typed(12.7 if small else r.choice((30.0, 60.0, 110.0)), units),
            "tolerance": r.choice((0.8, 1.6, 3.2) if units == "mm" else ("1/32", "1/16", "1/8")),
        },
        "laminate": {"wood": r.choice(("white ash", "white oak")), "thickness": thickness, "plies": 6,
                     "adhesive": "epoxy"},
        "press": {"side": r.choice(("male", "male", "female")), "between": ["film"]},
        "form": {"body": "band", "backing": _typed(105.0, units)},
    }  # fmt: skip
    shop = {
        "format": 1,
        "units": "mm",
        "sheet": "board",
        "sheets": {"board": _USUAL},
        "press_days": {"overnight": True},
    }
    if random.Random(f"minutes {seed}").random() < 0.5:  # noqa: S311 -- drawn apart, so that each seed keeps its rows
        shop |= {"times": {"piece": "1 min"}, "sheet_is_worth": "10 h"}  # sheets so dear that rings are cut in pieces
    if spoiled:
        rows.append(_spoiled_row(spoiled, units))
        base["press"] = {"side": "male", "between": ["film"]}  # outside of its curve no band runs through itself
        if spoiled == "no sheet":
            shop |= {"sheets": {"board": _NARROW}, "nesting": {"rotations_deg": [90]}}
    return Chance(
        units=units,
        base=base,
        shop=shop,
        rows=tuple({**row, "opening": f"W-{i}"} for i, row in enumerate(rows, 1)),
        share=r.choice((0.0, 0.5, 0.5, 1.0)),
        apart=r.random() < 0.15,
        sheets=True if spoiled == "no sheet" else r.random() < 0.5,
        spoiled=spoiled,
    )


def _cluster(r: random.Random, units: str, thickness: float, count: int, *, small: bool) -> list[Row]:
    """Openings of one kind and of nearly one size, as many plies as bend round them."""
    kind = r.choice(ARCS if small else KINDS)
    span = r.uniform(300.0, 420.0) if small else math.exp(r.uniform(math.log(350.0), math.log(1600.0)))
    low, high = {"segmental": (0.12, 0.4), "pointed": (0.7, 1.1), "three-centred": (0.3, 0.4), "ellipse": (0.35, 0.45),
                 "semicircle": (0.5, 0.5)}[kind]  # fmt: skip
    rise = span * r.uniform(low, high)
    tightest = min(span / 2.0, (span**2 / 4.0 + rise**2) / (2.0 * rise)) * (
        0.5 if kind in ("three-centred", "ellipse") else 1.0
    )
    plies = max(3, math.ceil(thickness / (0.007 * (tightest - thickness))))
    legs = r.random() < 0.4 and kind in ("semicircle", "three-centred", "pointed")
    jitter = r.choice((0.0, 0.5, 2.0, 8.0))
    rows = []
    for _ in range(count):
        off = r.uniform(-jitter, jitter)
        row: Row = {"quantity": r.choice((1, 1, 1, 2, 3)), "arch": kind, "span": _typed(span + off, units),
                    "laminate.plies": plies}  # fmt: skip
        if kind != "semicircle":
            row["rise"] = _typed(rise + r.choice((0.0, 0.5)) * off, units)
        if legs:
            row["legs"] = _typed(r.choice((60.0, 60.0, 100.0)), units)
        if r.random() < 0.3:
            row["depth"] = _typed(r.choice((12.0, 20.0)) if small else r.choice((25.0, 75.0, 140.0)), units)
        if r.random() < 0.15:
            row["measured on"] = r.choice(("inside", "outside", "centre"))
        rows.append(row)
    return rows


def _spoiled_row(spoiled: str, units: str) -> Row:
    """A half round of which no form can be cut; its plies bend."""
    backing = {"too wide": 620.0, "no dowels": 18.0, "no sheet": 105.0}[spoiled]
    return {"quantity": 1, "arch": "semicircle", "span": _typed(1200.0, units), "laminate.plies": 10,
            "form.backing": _typed(backing, units)}  # fmt: skip


def with_row(chance: Chance, index: int, **changes: object) -> Chance:
    """The schedule with other cells in one row."""
    rows = list(chance.rows)
    rows[index] = {**rows[index], **changes}
    return replaced(chance, rows)


def replaced(chance: Chance, rows: Sequence[Row]) -> Chance:
    """The schedule with other rows."""
    return replace(chance, rows=tuple(rows))
