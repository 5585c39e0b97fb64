"""Thousands of recipes made by chance: each is refused by the stages, or built, read back and found sound.

    python -m tests.robustness.sweep --count 1000 --first 1

What the stages accept must be built: a refusal after that, a traceback or an unsound form is a fault, told with seed.
`tests/robustness/chance.py` makes the recipes. Every tenth is built whole, with its pages, and verified; of the others
the drawings are held against doubled lines and the body is made, closed and weighed, which takes a tenth of the time.
A refusal must name what to do about it where the sweep knows how to do that (`CURES`), and doing so must help.
"""

from __future__ import annotations

import argparse
import json
import math
import re
import sys
import tempfile
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from shutil import copy, rmtree
from typing import Any

from tests.robustness.asking import flow, put
from tests.robustness.chance import DRAWING, chance_recipe, chance_shop

RECIPES = Path(__file__).parents[2] / "recipes"
#: Every so many recipes one is built whole.
WHOLE = 10
#: Progress is told after so many.
TOLD_EVERY = 250
#: Numbers in a reason, so that like refusals count as one.
_NUMBER = re.compile(r"-?\d[\d./]*")
#: What a refusal advises, and the key and value that do it; a group of the pattern is the value.
CURES: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (r"form\.backing = .*expected at most ([^;]+); use a narrower band", ("form", "backing"), r"\1"),
    (r"use body: band", ("form", "body"), "band"),
    (r"expected a block; use body: block", ("form", "body"), "block"),
    (r"form\.spreader_bar was asked for, but .*leave it out", ("form", "spreader_bar"), ""),
    (r"spreader_bar: false", ("form", "spreader_bar"), ""),
    (r"form\.channel.*leave (?:it|the channel) out", ("form", "channel"), ""),
    (r"expected .* or \{(?:.*), run: tangent\}: this arch springs", ("part", "legs", "run"), "tangent"),
)
#: Numbers of a record that are never below nothing.
_NEVER_BELOW = re.compile(r"\.[a-z_]*(length|thickness|diameter|width|area)[a-z_]*_mm2?$|_kg$")


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of a recipe.

    Args:
        seed: of the recipe.
        kind: `built`, `refused` (by the stages) or `fault`.
        reason: why, in the program's words.
    """

    seed: int
    kind: str
    reason: str = ""

    @property
    def alike(self) -> str:
        """The reason without its numbers."""
        return _NUMBER.sub("#", self.reason.split("\n")[0])[:150]


def swept(seed: int, whole: int = WHOLE) -> Outcome:
    """The recipe of that seed, taken as far as it goes; every so many are built whole."""
    recipe = chance_recipe(seed)
    outcome = _taken(seed, recipe, whole=seed % whole == 0)
    if outcome.kind != "refused":
        return outcome
    for pattern, path, value in CURES:
        match = re.search(pattern, outcome.reason)
        if match is not None:
            cured = put(recipe, path, match.expand(value) if value else False)
            again = _taken(seed, cured, whole=seed % whole == 0)  # type: ignore[arg-type]
            if again.kind == "fault":
                return again
            if again.kind == "refused" and re.search(pattern, again.reason):
                return Outcome(seed=seed, kind="fault", reason=f"its own cure does not help: {again.reason}")
            break
    return outcome


def _taken(seed: int, recipe: dict[str, Any], *, whole: bool) -> Outcome:
    from formgen.errors import FormgenError
    from formgen.pipeline import run
    from formgen.recipe.load import load_recipe

    folder = Path(tempfile.mkdtemp(prefix="sweep-"))
    try:
        (folder / "r.yaml").write_text(flow(recipe), encoding="utf-8")
        (folder / "shop.yaml").write_text(flow(chance_shop(seed)), encoding="utf-8")
        copy(RECIPES / DRAWING, folder / DRAWING)
        try:
            form = run(load_recipe(folder / "r.yaml"))
        except FormgenError as err:
            return Outcome(seed=seed, kind="refused", reason=str(err).removeprefix("r.yaml").lstrip(":0123456789 "))
        unsound = next(faults_of(form, folder, whole=whole), None)
        return Outcome(seed=seed, kind="built") if unsound is None else Outcome(seed=seed, kind="fault", reason=unsound)
    except Exception:
        return Outcome(seed=seed, kind="fault", reason=traceback.format_exc(limit=-2).strip().replace("\n", " | "))
    finally:
        rmtree(folder, ignore_errors=True)


def faults_of(form: Any, folder: Path, *, whole: bool) -> Iterator[str]:
    """What is unsound about a form or its files, one line each."""
    yield from screen_faults(form)
    yield from part_faults(form)
    yield from layer_faults(form)
    yield from channel_faults(form)
    if whole:
        yield from _built_whole(form, folder)
    else:
        yield from _drawn_and_closed(form, folder)


def screen_faults(form: Any) -> Iterator[str]:
    """An answer that takes more than a line, a screen that takes more than 80 × 24."""
    from formgen.answers import LINE, answers
    from formgen.cli.screen import answer_lines

    yield from (f"too long for its line: {text}" for _, text in answers(form).rows() if len(text) > LINE)
    lines = [line for line, _ in answer_lines(form, "formgen check r.yaml")]
    if len(lines) > 23 or max(map(len, lines)) > 80:
        yield f"a screen of {len(lines)} lines of {max(map(len, lines))} letters"


def part_faults(form: Any) -> Iterator[str]:
    """Plies shorter than the part; part or face that run through themselves, by shapely."""
    from shapely.geometry import LineString

    laminate = form.laminate
    for ply in laminate.plies:
        if ply.length_mm < laminate.pressed.parallel(ply.offset_mm).length_mm - 1e-6:
            yield f"ply {ply.number} is shorter than the part"
    for what, curve in (("part", laminate.pressed.extended(*laminate.arch.waste_mm)), ("form face", form.face)):
        if not LineString(curve.sampled(0.02)).is_simple:
            yield f"the {what} crosses itself"


def layer_faults(form: Any) -> Iterator[str]:
    """Layers and pieces that run through themselves or lie over one another, reliefs out of them, sheet area."""
    from shapely.geometry import Polygon

    def polygon(outline: Any) -> Polygon:
        return Polygon(outline.flattened(0.02))

    area_mm2 = 0.0
    for layer in form.layers:
        shapes = [polygon(piece.outline) for piece in layer.pieces]
        if not all(shape.is_valid for shape in (polygon(layer.outline), *shapes)):
            yield f"layer {layer.number} or a piece of it runs through itself"
            return
        for i, one in enumerate(shapes):
            if any(one.intersection(other).area > 0.5 for other in shapes[i + 1 :]):
                yield f"two pieces of layer {layer.number} over one another"
        for piece, shape in zip(layer.pieces, shapes, strict=True):
            area_mm2 += shape.area
            if not all(shape.buffer(1e-6).contains(polygon(opening.outline)) for opening in piece.openings):
                yield f"a relief of {piece.name} reaches out of it"
    board = form.weights.board_m2 * 1e6
    if abs(board - area_mm2) > 1e-3 * area_mm2 + 10.0:
        yield f"pieces are {area_mm2:.0f} mm2 by shapely and {board:.0f} by the program"


def channel_faults(form: Any) -> Iterator[str]:
    """Channel layers that reach out of the others together."""
    from shapely import union_all
    from shapely.geometry import Polygon

    shapes = [Polygon(layer.outline.flattened(0.02)) for layer in form.layers]
    plain = union_all([shape for shape, layer in zip(shapes, form.layers, strict=True) if not layer.channel])
    for shape, layer in zip(shapes, form.layers, strict=True):
        if layer.channel and not plain.buffer(0.05).contains(shape):
            yield f"channel layer {layer.number} reaches out of the others"


def _built_whole(form: Any, folder: Path) -> Iterator[str]:
    """All files and pages, read back, and the folder made again from its record."""
    from formgen.errors import FormgenError
    from formgen.outputs.folder.verify import verify
    from formgen.outputs.folder.write import write_all
    from formgen.outputs.record.asked import recipe_from_folder
    from formgen.pipeline import run
    from formgen.reports.pages import PAGES

    try:
        made = write_all(form, folder / "output", pages=PAGES)
    except FormgenError as err:
        yield f"after the stages: {err}"
        return
    yield from record_faults(json.loads((made / "job.json").read_text(encoding="utf-8"))["found"], "found")
    verified = verify(made, run(recipe_from_folder(made)), PAGES)
    yield from (f"verify: {line}" for line in (*verified.differences, *verified.not_compared))


def _drawn_and_closed(form: Any, folder: Path) -> Iterator[str]:
    """Lines drawn twice, and the body of the stack: closed, of the model's volume."""
    from formgen.outputs.dxf.check import drawn_twice
    from formgen.outputs.dxf.layers import names_of
    from formgen.outputs.dxf.shapes import layer_drawing
    from formgen.outputs.record.job import job_record
    from formgen.outputs.stl.check import check_stl
    from formgen.outputs.stl.writer import write_stl

    for layer in form.layers:
        names = names_of(form, layer)
        written = {names.labels.upper(), names.marks.upper()}
        yield from drawn_twice(d for d in layer_drawing(form, layer) if d.layer not in written)
    write_stl(form, folder / "form.stl")
    yield from check_stl(folder / "form.stl", form)
    yield from record_faults(job_record(form)["found"], "found")


def record_faults(held: Any, where: str) -> Iterator[str]:
    """Numbers of the record that are not finite, and sizes below nothing."""
    if isinstance(held, dict):
        for key, value in held.items():
            yield from record_faults(value, f"{where}.{key}")
    elif isinstance(held, list):
        for i, value in enumerate(held):
            yield from record_faults(value, f"{where}.{i}")
    elif isinstance(held, float) and (not math.isfinite(held) or (held < 0.0 and _NEVER_BELOW.search(where))):
        yield f"{where} = {held}"


def main() -> None:
    """Sweep and count."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    kinds, reasons, faults = Counter[str](), Counter[str](), []
    first: dict[str, int] = {}
    seeds = range(asked.first, asked.first + asked.count)
    try:
        with ProcessPoolExecutor(asked.workers, initializer=_no_number_lost) as pool:
            for number, outcome in enumerate(pool.map(swept, seeds, chunksize=4), 1):
                kinds[outcome.kind] += 1
                if outcome.kind == "refused":
                    reasons[outcome.alike] += 1
                    first.setdefault(outcome.alike, outcome.seed)
                if outcome.kind == "fault":
                    faults.append(outcome)
                    _say(f"FAULT {outcome.seed}: {outcome.reason[:400]}")
                if number % TOLD_EVERY == 0:
                    _say(f"{number} of {asked.count}: {dict(kinds)}")
    finally:  # also where it is interrupted
        _say(f"{kinds.total()} recipes: {dict(kinds)}")
        for reason, count in reasons.most_common():
            _say(f"{count:6d}  {reason}  (first: {first[reason]})")
    sys.exit(1 if faults else 0)


def _no_number_lost() -> None:
    """A division that leaves no number is a fault."""
    warnings.simplefilter("error", RuntimeWarning)


def _say(line: str) -> None:
    print(line, flush=True)  # noqa: T201 -- the command's answer


if __name__ == "__main__":
    main()
