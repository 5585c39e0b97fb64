"""Hundreds of schedules made by chance: shared, counted and built, and held against what a schedule promises.

    python -m tests.robustness.schedules --count 200 --first 1 --built 15

Of each schedule (`chance_schedules.py`) the sharing is looked at: every opening comes off one form, within the share of
its tolerance by a second way (`two_arcs.py`), layers add up, and one changed row changes its own forms alone. Every
fifth is spoiled by a form that cannot be cut, and the command must refuse it before anything is planned or written.
Those built are small; a second run changes no file, a changed row its own form's only.
"""

from __future__ import annotations

import argparse
import math
import re
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from formgen.building.running.events import Event
from formgen.building.running.pool import Place
from tests.robustness.asking import ask
from tests.robustness.chance_schedules import SPOILED, Chance, chance_schedule, in_mm, replaced, with_row
from tests.robustness.two_arcs import arcs_apart, legged_apart, radius_and_sweep

if TYPE_CHECKING:
    from formgen.building.model import Building, Member, SharedForm
    from formgen.building.schedule.opening import Refused

#: Every so many are spoiled.
SPOILED_EACH = 5
#: Of so many forms of each it is looked whether they can be cut: those that most openings share.
LOOKED_AT = 4
#: `openings.csv: row 3, opening W-2, …` or with a colon.
_REFUSED = re.compile(r"openings\.csv: row (\d+), opening (W-\d+)[,:] ")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@dataclass(kw_only=True)
class Seen:
    """What was seen of a schedule.

    Args:
        seed: which.
        counts: openings, forms and the like.
        reasons: why rows or forms were refused, without numbers.
        faults: what breaks a promise, or a traceback.
    """

    seed: int
    counts: Counter[str] = field(default_factory=Counter)
    reasons: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)


def planned(seed: int) -> Seen:
    """The schedule of that seed, shared and looked at; a spoiled one is given to the command."""
    seen = Seen(seed=seed)
    spoiled = SPOILED[seed // SPOILED_EACH % len(SPOILED)] if seed % SPOILED_EACH == 0 else ""
    try:
        with tempfile.TemporaryDirectory(prefix="schedules-") as name:
            folder = Path(name)
            chance, building = _shared(chance_schedule(seed, spoiled=spoiled), folder, seen)
            if building.openings:
                seen.faults += sharing_faults(chance, building)
                seen.faults += change_faults(chance, building, folder, seed, seen)
            if spoiled:
                seen.faults += refusal_faults(chance, folder, seen)
            else:
                seen.faults += _looked_at(building, seen)
    except Exception:
        seen.faults.append(traceback.format_exc(limit=-3).strip().replace("\n", " | "))
    return seen


def _plan(chance: Chance, folder: Path) -> Building:
    from formgen.building.schedule.read import read_schedule
    from formgen.building.sharing.forms import plan_building

    read = read_schedule(chance.put(folder), folder / "base.yaml")
    assert not read.refused, read.refused
    assert not read.faults, read.faults
    return plan_building(read.openings, chance.share, apart=chance.apart)


def shared_alone(chance: Chance, folder: Path) -> tuple[Chance, Building, tuple[Refused, ...]]:
    """The schedule without the rows that the stages refuse, its forms, and those rows."""
    building = _plan(chance, folder)
    bad = building.refused
    if bad:
        rows = {row.row for row in bad}
        chance = replaced(chance, [row for i, row in enumerate(chance.rows) if i + 2 not in rows])
        building = _plan(chance, folder)
        assert not building.refused
    return chance, building, bad


def _shared(chance: Chance, folder: Path, seen: Seen) -> tuple[Chance, Building]:
    """The same, counted."""
    chance, building, bad = shared_alone(chance, folder)
    for row in bad:
        seen.counts["rows refused"] += 1
        seen.reasons["row: " + _alike(row.lines[0])] += 1
    shared = [form for form in building.forms if len(form.members) > 1]
    seen.counts.update({
        "schedules": 1, "openings": building.openings, "forms": len(building.forms), "shared forms": len(shared),
        "openings on shared forms": sum(len(form.members) for form in shared),
    })  # fmt: skip
    return chance, building


def _alike(line: str) -> str:
    """A refusal without place and numbers."""
    said = re.sub(r"^openings\.csv: row \d+, opening \S+?(?:, column [^:]*)?: ", "", line)
    return _NUMBER.sub("#", said)[:110]


# --- sharing


def sharing_faults(chance: Chance, building: Building) -> Iterator[str]:
    """Openings that are on no form or on two, arcs further apart than they may be, layers that do not add up."""
    marks = [member.opening.mark for form in building.forms for member in form.members]
    if sorted(marks) != sorted(chance.marks):
        yield f"openings {chance.marks} are on forms as {marks}"
        return
    rows = {row["opening"]: row for row in chance.rows}
    for form in building.forms:
        if chance.apart and len(form.members) > 1:
            yield f"{form.name} is shared, though a form for each was asked for"
        for member in form.members:
            if member.opening.quantity != rows[member.opening.mark]["quantity"]:
                yield f"{member.opening.mark} is wanted {member.opening.quantity} times"
            yield from _apart_faults(chance, form, member, rows[member.opening.mark])
        layers = [_layers(chance, rows[member.opening.mark]) for member in form.members]
        if (form.layers, form.layers_apart) != (max(layers), sum(layers)):
            yield f"{form.name} has {form.layers} layers, {form.layers_apart} apart, and by its depths {layers}"
    if building.openings != len(marks):
        yield f"{building.openings} openings"


def _layers(chance: Chance, row: Mapping[str, Any]) -> int:
    """Layers of 18 mm board as deep as the part and 3 mm of trim at both edges."""
    depth = in_mm(row.get("depth", chance.base["part"]["depth"]))
    return math.ceil((depth + 6.0) / 18.0 - 1e-9)


def _apart_faults(chance: Chance, form: SharedForm, member: Member, row: Mapping[str, Any]) -> Iterator[str]:
    """What the opening gives up on its form, worked out from the cells of its row and the form's radius alone."""
    may = chance.share * in_mm(chance.base["part"]["tolerance"]) if len(form.members) > 1 else 0.0
    who = f"{member.opening.mark} on {form.name}"
    if member.gives_up_mm > may + 1e-6:
        yield f"{who} gives up {member.gives_up_mm:.4f} mm of {may:.4f}"
    if row["arch"] not in ("segmental", "semicircle") or len(form.members) == 1:
        return
    span, rise = in_mm(row["span"]), in_mm(row["rise"]) if "rise" in row else None
    measured, sweep = radius_and_sweep(span, rise)
    on = row.get("measured on", chance.base["part"]["measured_on"])
    asked = measured + {"inside": 0.5, "outside": -0.5, "centre": 0.0}[on] * in_mm(chance.base["laminate"]["thickness"])
    made = _radius_of(form)
    leg = in_mm(row["legs"]) if "legs" in row else 0.0
    apart = legged_apart(asked, made, sweep, leg) if leg else arcs_apart(asked, made, asked * sweep)
    if apart > may + 1e-5:
        yield f"{who}: by a second way {apart:.5f} mm apart, and may be {may:.5f}"
    if not 0.98 * member.gives_up_mm - 1e-5 <= apart <= member.gives_up_mm + 1e-5:
        yield f"{who}: by a second way {apart:.5f} mm apart, and it says {member.gives_up_mm:.5f}"


def _radius_of(form: SharedForm) -> float:
    """Radius on the centre line for which the recipe of a shared form asks."""
    from formgen.recipe.arch_kinds import Chain, Segmental, Semicircle

    arch = form.recipe.part.arch
    assert form.recipe.part.measured_on == "centre"
    if isinstance(arch, Semicircle):
        return arch.span_mm / 2.0
    if isinstance(arch, Chain):
        (piece,) = arch.pieces
        assert piece.radius_mm is not None
        return piece.radius_mm
    assert isinstance(arch, Segmental)
    assert arch.radius_mm is not None
    return arch.radius_mm


# --- a changed row


def change_faults(chance: Chance, building: Building, folder: Path, seed: int, seen: Seen) -> Iterator[str]:
    """Forms that change with one row though it is not on them."""
    index = seed % len(chance.rows)
    mark = chance.rows[index]["opening"]
    other = _plan(with_row(chance, index, depth="3 1/4" if chance.units == "in" else 82), folder)
    changed = changed_forms(building, other)
    own = _form_of(building, mark)
    if changed != {own}:
        yield f"{mark} is deeper, which changes {sorted(changed)}, and it is on {own}"
    span = in_mm(chance.rows[index]["span"]) + 6.35
    wider = with_row(chance, index, span=f"{round(span / 25.4 * 16)}/16" if chance.units == "in" else round(span, 2))
    other = _plan(wider, folder)
    if other.refused:
        seen.counts["rows refused when wider"] += 1
        return
    changed = changed_forms(building, other)
    beside = changed - _beside(building, other, mark)
    seen.counts["rows made wider"] += 1
    seen.counts["rows made wider that share the rest anew"] += bool(beside)
    shapes = {form.name: _shape(form) for form in (*other.forms, *building.forms)}
    own_shape = _shape(next(form for form in other.forms if form.name == _form_of(other, mark)))
    strangers = sorted(name for name in beside if shapes[name] != own_shape)
    if strangers:
        yield f"{mark} is wider, which changes {strangers}, that it could not share"


def _form_of(building: Building, mark: str) -> str:
    return next(form.name for form in building.forms if any(m.opening.mark == mark for m in form.members))


def _beside(before: Building, after: Building, mark: str) -> set[str]:
    """Names of the forms that an opening left or joined, as they are called before and after."""
    groups = [{m.opening.mark for m in form.members} for held in (before, after) for form in held.forms]
    company = set().union(*(group for group in groups if mark in group))
    forms = (*before.forms, *after.forms)
    return {form.name for form in forms if any(m.opening.mark in company for m in form.members)}


def _shape(form: SharedForm) -> tuple[object, ...]:
    """What openings on one form must have in common, of what the rows here say."""
    first = form.members[0]
    arch = first.opening.recipe.part
    arcs = arch.arch.kind in ("segmental", "semicircle")
    return "arc" if arcs else "other", bool(arch.legs), len(first.pressing.laminate.plies)


def changed_forms(before: Building, after: Building) -> set[str]:
    """Names of the forms that are new, gone or asked otherwise."""
    from formgen.recipe.as_asked import asked_record

    asked = [{form.name: asked_record(form.recipe) for form in building.forms} for building in (before, after)]
    return {name for name in asked[0].keys() | asked[1].keys() if asked[0].get(name) != asked[1].get(name)}


# --- refusals


def refusal_faults(chance: Chance, folder: Path, seen: Seen) -> Iterator[str]:
    """A spoiled schedule that the command does not refuse by opening and row, or only after it wrote something."""
    asked = [*words(chance, chance.put(folder), folder / "output"), "--json"]  # the way through is told on stdout
    answer = ask(*asked)
    for _ in chance.rows:  # what cannot be cut for a reason of its own is left out
        others = {mark for _, mark in _REFUSED.findall(answer.err)} - {chance.marks[-1]}
        if answer.code != 1 or not others or chance.marks[-1] in answer.err:
            break
        chance = replaced(chance, [row for row in chance.rows if row["opening"] not in others])
        chance.put(folder)
        answer = ask(*asked)
    seen.counts[f"refused: {chance.spoiled}"] += answer.code == 1
    if answer.code != 1:
        yield f"{chance.spoiled} is answered with {answer.code}: {answer.err}"
    if (folder / "output").exists():
        yield f"{chance.spoiled} is refused, and {sorted(p.name for p in (folder / 'output').iterdir())} is written"
    named = set()
    for line in answer.lines:
        match = _REFUSED.match(line)
        if match is None:
            yield f"refused without opening and row: {line}"
        elif chance.marks.index(match[2]) + 2 != int(match[1]):
            yield f"another row than that of its opening: {line}"
        else:
            named.add(match[2])
            seen.reasons["form: " + _alike(line)] += 1
    if chance.marks[-1] not in named and f"shared with {chance.marks[-1]}" not in answer.err:
        yield f"{chance.spoiled}: {chance.marks[-1]} is not named: {answer.err}"


def _looked_at(building: Building, seen: Seen) -> Iterator[str]:
    """Count forms that cannot be cut; no form fails by a bar that only sharing asked for."""
    from formgen.building.running.checking import looked_at

    few = sorted(building.forms, key=lambda form: -len(form.members))[:LOOKED_AT]
    _, bad = looked_at(replace(building, forms=tuple(few)), (), _nowhere, list[Event]().append)
    seen.counts["forms looked at"] += len(few)
    for line in bad.values():
        seen.counts["forms that cannot be cut"] += 1
        seen.reasons["form: " + _alike(line)] += 1
        if "spreader_bar was asked for" in line:
            yield f"nobody asked for a bar: {line}"


def _nowhere() -> AbstractContextManager[Place]:
    raise AssertionError("so few are looked at here")


def words(chance: Chance, schedule: Path, output: Path) -> list[str | Path]:
    """The command line for a schedule."""
    asked: list[str | Path] = ["batch", schedule, "--base", schedule.parent / "base.yaml", "--output", output,
             "--share", str(chance.share), "--workers", "1", "--nesting", "quick", "--effort", "preview"]  # fmt: skip
    return [*asked, *(["--apart"] if chance.apart else []), *([] if chance.sheets else ["--no-sheets"])]


def main() -> None:
    """Look and count."""
    from tests.robustness.schedules_built import built

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--built", type=int, default=0, help="of so many seeds more, small ones are built whole")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    counts, reasons, faults = Counter[str](), Counter[str](), 0
    tasks = [(planned, seed) for seed in range(asked.first, asked.first + asked.count)]
    tasks += [(built, seed) for seed in range(asked.first, asked.first + asked.built)]
    with ProcessPoolExecutor(asked.workers) as pool:
        for done in [pool.submit(task, seed) for task, seed in tasks]:
            seen = done.result()
            counts += seen.counts
            reasons += seen.reasons
            faults += len(seen.faults)
            for line in seen.faults:
                _say(f"FAULT {seen.seed}: {line[:600]}")
    for table in (counts, reasons):
        for what, count in sorted(table.items()):
            _say(f"{count:6d}  {what}")
    sys.exit(1 if faults else 0)


def _say(line: str) -> None:
    print(line, flush=True)  # noqa: T201 -- the command's answer


if __name__ == "__main__":
    main()
