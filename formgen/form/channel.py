"""Stage `form`: the vacuum channel of a form inside the bag: layers set back from the face, and ports out of them.

In: the body, the stack and the room left. Out: which layers stand back, and the ports of such a layer: grooves
in its front face from the channel to the back of a band or the base of a block; mm.
"""

from __future__ import annotations

import math

from formgen.errors import FormError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.body import Body
from formgen.form.free_space import STEP_MM, WALL_MM, Capsule, Room, steps_about
from formgen.form.stack import Groove
from formgen.geometry.outline import Outline, Point
from formgen.lengths import Units, write_length
from formgen.press.setup import Pressing
from formgen.recipe.schema import ChannelAsk

#: One channel layer for so much depth of part. Common practice, no source.
DEPTH_PER_CHANNEL_MM = 100.0
#: A port of a block runs to its base where the face turns away from the base by less than this.
PORT_TURN_RAD = math.radians(60.0)
#: A layer that stands back keeps this radius at its tightest (mm).
LEAST_RADIUS_MM = 1.0
#: How far the cutter runs out past an edge (mm).
RUN_OUT_MM = 3.0


@fixed
class ChannelPlan:
    """The layers that stand back, by how much, and the size of the ports; no layers where there is no channel."""

    ask: ChannelAsk
    layers: tuple[int, ...]
    findings: tuple[Finding, ...] = ()

    def set_back_mm(self, layer: int) -> float:
        """Find how far a layer's face stands behind the form face."""
        return self.ask.depth_mm if layer in self.layers else 0.0


def plan_channel(pressing: Pressing, body: Body, count: int) -> ChannelPlan:
    """The channel layers of a stack of `count`: evenly through the depth, never the first or last.

    Raises:
        FormError: a channel was asked for in a stack with no inner layer, where nothing is under vacuum, or as deep as
            the face's tightest radius.
    """
    wanted = pressing.recipe.asked.form.channel
    ask = wanted if isinstance(wanted, ChannelAsk) else ChannelAsk()
    if wanted and pressing.way == "clamped":
        raise FormError(
            "form.channel was asked for, but press.way: clamped has no vacuum to lead along it, expected none: "
            "leave it out"
        )
    if not wanted and (wanted is False or not pressing.form_in_bag):
        return ChannelPlan(ask=ask, layers=())
    if count < 3:
        if wanted is not None:
            raise FormError(
                f"form.channel was asked for in a stack of {count} layers, expected at least 3: "
                "use a thinner sheet, or leave the channel out"
            )
        note = finding("form.no-channel", pressing.recipe.units, value=count, limit=3)
        return ChannelPlan(ask=ask, layers=(), findings=(note,))
    if ask.depth_mm > (most := _deepest_mm(body)):
        depth = write_length(ask.depth_mm, pressing.recipe.units)
        goes = f"at most {write_length(most, pressing.recipe.units)}" if most >= 1.0 else "none"
        raise FormError(
            f"form.channel.depth = {depth}, which leaves too little of the face's tightest curve or of the body behind "
            f"it, expected {goes}: {'leave' if goes == 'none' else 'make it shallower, or leave'} the channel out"
        )
    inner = count - 2
    wish = math.ceil(pressing.recipe.part.depth_mm / DEPTH_PER_CHANNEL_MM)
    channels = max(1, min(wish, (inner + 1) // 2))
    layers = tuple(2 + math.floor((j + 0.5) * inner / channels) for j in range(channels))
    return ChannelPlan(ask=ask, layers=layers)


def _deepest_mm(body: Body) -> float:
    """The most by which a layer may stand back: short of the middle of the face's tightest curve, a wall behind it."""
    sharpest = max(curvature * body.inward for _, curvature in body.face.pieces)
    round_mm = 1.0 / sharpest if sharpest > 0.0 else math.inf
    return max(min(round_mm - LEAST_RADIUS_MM, body.backing_mm - WALL_MM), 0.0)


def place_ports(
    body: Body, part: tuple[float, float], plan: ChannelPlan, layer: Outline, sheet_mm: float, room: Room, units: Units
) -> tuple[tuple[Groove, ...], tuple[Finding, ...]]:
    """The ports of a channel layer, half the sheet deep, near even steps along the part.

    Args:
        body: the body.
        part: stations on the face where the finished part begins and ends.
        plan: the channel.
        layer: outline of the channel layer, set back.
        sheet_mm: thickness of the sheet.
        room: what the reliefs, dowels and joints leave; its outlines are not looked at.
        units: in which the findings are written.
    """
    ask = plan.ask
    count = max(1, math.ceil((part[1] - part[0]) / ask.port_spacing_mm - 1e-9))
    step = (part[1] - part[0]) / count
    depth = sheet_mm / 2.0
    ports: list[Groove] = []
    for i in range(count):
        wish = part[0] + (i + 0.5) * step
        for station in steps_about(wish, int(step / 2 / STEP_MM)):
            line = _line(body, plan, station, layer) if part[0] <= station <= part[1] else None
            port = _groove(line, ask.port_width_mm, depth, layer) if line is not None else None
            if line is not None and port is not None and _is_free(line, ask.port_width_mm, room):
                ports.append(port)
                room = room.less([Capsule(a=line[0], b=line[1], radius_mm=ask.port_width_mm / 2)])
                break
    if ports:
        return tuple(ports), ()
    return (), (finding("form.no-port", units, value=0, limit=1),)


def _line(body: Body, plan: ChannelPlan, station_mm: float, layer: Outline) -> tuple[Point, Point] | None:
    """From the channel's floor to where the port leaves the layer; None where it would not reach the base."""
    normal = body.inward_normal(station_mm)
    direction = normal
    if body.kind == "block":
        direction = (0.0, -1.0) if body.inward > 0 else (0.0, 1.0)
        if normal[1] * direction[1] < math.cos(PORT_TURN_RAD):
            return None
    start = body.behind(station_mm, plan.ask.depth_mm)
    out = next((end for begin, end in layer.chords(start, *direction) if begin < 1.0 < end), None)
    if out is None:
        return None
    if body.kind == "band" and out < body.backing_mm - plan.ask.depth_mm - 1e-3:
        return None  # it would come out where the bar's seat is cut, not at the back
    end = (start[0] + out * direction[0], start[1] + out * direction[1])
    far = layer.bounds[1] if direction[1] < 0 else layer.bounds[3]
    if body.kind == "block" and abs(end[1] - far) > 1e-6:
        return None  # it would come out in the face again, where that draws in
    return start, end


def _is_free(line: tuple[Point, Point], width_mm: float, room: Room) -> bool:
    """Tell whether a port keeps a wall to every feature. Walls to the outline do not apply: it runs out through it."""
    features = Room(outlines=(), taken=room.taken)
    return features.fits_along(*line, width_mm / 2 + WALL_MM, samples=max(9, int(math.dist(*line) / 5.0)))


def _groove(line: tuple[Point, Point], width_mm: float, depth_mm: float, layer: Outline) -> Groove | None:
    """The port along a line; None where its run-out would cut the layer a second time, where that turns back."""
    (ax, ay), (bx, by) = line
    length = math.dist(*line)
    ux, uy = (bx - ax) / length, (by - ay) / length
    centre = ((ax + bx) / 2, (ay + by) / 2)
    half = width_mm / 2
    # Past an edge that it meets at a slant the groove runs on until its whole width is out.
    run_out = RUN_OUT_MM + width_mm
    outline = Outline.box(centre, (ux, uy), length + 2 * run_out, width_mm)
    strip = [
        part
        for above in layer.cut((ax + half * uy, ay - half * ux), ux, uy)
        for part in above.cut((ax - half * uy, ay + half * ux), -ux, -uy)
    ]
    cleared = next(part for part in strip if part.contains(centre))
    begin, end = (ax - run_out * ux, ay - run_out * uy), (bx + run_out * ux, by + run_out * uy)
    if any(near.cut(end, -uy, ux) for part in strip if part is not cleared for near in part.cut(begin, uy, -ux)):
        return None
    return Groove(outline=outline, cleared=cleared, width_mm=width_mm, depth_mm=depth_mm)
