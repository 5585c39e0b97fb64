"""The porch jamb's form as a good user of CadQuery would script it: numbers worked out beforehand, no checks.

Writes form.step (one solid a layer), form.stl (the union) and one DXF a layer into the folder that is its argument.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

import cadquery as cq

IN = 25.4
PLIES, THICKNESS, SHEET, LAYERS = 8, 1.0 * IN, 0.746 * IN, 8
BACKING, LEG, RUN_ON = 6 * IN, 14 * IN, 50.0
SHRINK = 1 - 1 / PLIES**2
FACE = 18.5 * IN * SHRINK - THICKNESS / 2 - 0.1
LEAN = math.pi / 2 / SHRINK - math.pi / 2
SEAT_Y, SEAT_FROM = -317.5, 4
JAW, SETBACK, DOWEL = 50.0, 40.0, 10.0


def along(offset: float, angle: float, down: float = 0.0) -> tuple[float, float]:
    """A point at an offset inside the face, at an angle from the crown, and so far down the leg from there."""
    r = FACE - offset
    x, y = r * math.sin(angle), r * math.cos(angle) + 30.0
    side = math.copysign(1.0, angle)
    return x - side * down * math.sin(LEAN), y - down * math.cos(LEAN)


def layer(*, seat: bool) -> cq.Workplane:
    """One layer, whole or cut away for the bar."""
    half = math.pi / 2 + LEAN
    down = LEG + RUN_ON
    outline = (
        cq.Workplane()
        .moveTo(*along(0, half, down))
        .lineTo(*along(0, half))
        .threePointArc(along(0, 0), along(0, -half))
        .lineTo(*along(0, -half, down))
        .lineTo(*along(BACKING, -half, down))
        .lineTo(*along(BACKING, -half))
        .threePointArc(along(BACKING, 0), along(BACKING, half))
        .lineTo(*along(BACKING, half, down))
        .close()
        .extrude(SHEET)
    )
    middle = SETBACK + JAW / 2
    reliefs = [along(middle, a) for a in (-1.4, -1.05, -0.7, -0.35, 0, 0.35, 0.7, 1.05, 1.4)]
    reliefs += [along(middle, s * half, 250.0) for s in (-1, 1)]
    dowels = [along(20, -0.95), along(20, -half, 120.0), along(20, half, 280.0)]
    outline = outline.pushPoints(reliefs).circle(JAW / 2).cutThruAll()
    outline = outline.pushPoints(dowels).circle(DOWEL / 2).cutThruAll()
    if seat:
        space = cq.Workplane().box(2000, 1000, 200, centered=(True, False, True))
        outline = outline.cut(space.translate((0, SEAT_Y - 1000, 0)))
    return outline


def main(folder: Path, layers: int = LAYERS) -> None:
    """Build and write."""
    folder.mkdir(parents=True, exist_ok=True)
    stack = cq.Assembly()
    union = None
    whole, cut_away = layer(seat=False), layer(seat=True)
    for i in range(layers):
        solid = (cut_away if i + 1 >= SEAT_FROM else whole).translate((0, 0, i * SHEET))
        stack.add(solid, name=f"L{i + 1:02d}", color=cq.Color(0.8, 0.7, 0.5))
        union = solid if union is None else union.union(solid)
        section = solid.faces("<Z").wires()
        cq.exporters.exportDXF(section, str(folder / f"layer-{i + 1:02d}.dxf"))
    stack.export(str(folder / "form.step"))
    cq.exporters.export(union, str(folder / "form.stl"), tolerance=0.02, angularTolerance=0.1)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
