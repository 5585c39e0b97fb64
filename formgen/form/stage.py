"""Stage `form`: from the pressing to the stack of layers, every feature placed and checked against its neighbours.

In: a Pressing. Out: a Form, in mm. Last come the pieces of a layer, with the features that fall on each and the words
of who writes on them. No solid is built here and no file written.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from itertools import compress

import numpy as np

from formgen.errors import FormError
from formgen.findings import Finding, finding
from formgen.fixed import fixed
from formgen.form.bar import BarPlan, plan_bar
from formgen.form.body import Body, make_body
from formgen.form.channel import ChannelPlan, place_ports, plan_channel
from formgen.form.curve_ends import Stand, stands
from formgen.form.dowels import place_dowels
from formgen.form.free_space import Capsule, Room
from formgen.form.joints import Joints, plan_joints
from formgen.form.marking.lines import guides
from formgen.form.marking.pieces import Writer
from formgen.form.marking.words import Words
from formgen.form.model import Form
from formgen.form.reliefs import Relief, place_reliefs
from formgen.form.stack import Groove, Hole, Layer, Piece
from formgen.form.strength import form_strength, strength_findings
from formgen.form.weight import weigh, weight_findings
from formgen.geometry.arcspline import same_place
from formgen.geometry.outline import Outline, Point
from formgen.makes.parts import parts_made, trim_lines
from formgen.press.setup import Pressing
from formgen.recipe.figures import figure
from formgen.recipe.schema import ReliefAsk

#: No stack has more layers than this: a slip of units, not a form.
MOST_LAYERS = 400


@fixed
class Plan:
    """Everything that is common to the layers of a form before they are cut into pieces."""

    pressing: Pressing
    body: Body
    part: tuple[float, float]
    count: int
    sheet_mm: float
    bar: BarPlan
    channel: ChannelPlan
    joints: Joints

    def outline(self, number: int) -> Outline:
        """A whole layer, set back and cut away as its number asks.

        Raises:
            FormError: the bar seat would leave a layer in several parts, or nothing of it.
        """
        left = self.bar.cut_away(self.body.outline(self.channel.set_back_mm(number)), number)
        if len(left) != 1:
            raise FormError(
                f"form.spreader_bar: cutting layer {number} away for the bar leaves {len(left)} parts, expected one: "
                "set the bar lower, or leave it out"
            )
        return left[0]

    def pieces(self, number: int, outline: Outline) -> list[Outline]:
        """The pieces of a layer of that outline, from the right.

        Raises:
            FormError: a joint falls where the bar's seat is cut.
        """
        whole = self.joints.pieces(number, self.channel.set_back_mm(number))
        pieces = [part for piece in whole for part in self.bar.cut_away(piece, number)]
        apart, together = sum(piece.area_mm2 for piece in pieces), outline.area_mm2
        if abs(apart - together) > 1e-6 * together:
            raise FormError(
                f"form.spreader_bar: a joint of layer {number} falls on the bar's notch, expected it clear: "
                "set the bar higher or lower, or change form.least_pieces"
            )
        return pieces

    @property
    def numbers(self) -> range:
        """Numbers of the layers."""
        return range(1, self.count + 1)


def make_form(pressing: Pressing, *, do_not_press: bool = False) -> Form:
    """The form.

    Args:
        pressing: the stage before.
        do_not_press: every piece is marked so.

    Raises:
        FormError: a piece that fits no sheet, a body that cannot be cut, a feature asked for that has no room.
    """
    plan, makes = _plan(pressing), parts_made(pressing)
    outlines = {number: plan.outline(number) for number in plan.numbers}
    pieces = {number: plan.pieces(number, outlines[number]) for number in plan.numbers}
    room = _room(plan, outlines)
    reliefs, relief_findings = _reliefs(plan, room)
    room = room.less([r.ground for r in reliefs])
    dowel = pressing.recipe.shop.dowel.diameter_mm
    distinct = list(dict.fromkeys(piece for number in plan.numbers for piece in pieces[number]))
    dowels = _dowels(plan, distinct, room, dowel)
    room = room.less([Capsule(a=d, b=d, radius_mm=dowel / 2) for d in dowels])
    ports, port_findings = _ports(plan, outlines, room)
    features = Features(reliefs=reliefs, dowels=dowels, dowel_mm=dowel)
    lines = guides(pressing, plan.body, plan.bar.seat, trim_lines(makes))
    words = Words(pressing=pressing, count=plan.count, do_not_press=do_not_press)
    writer = Writer(words=words, guides=lines, letters_mm=pressing.recipe.shop.router.label_height_mm)
    layers = tuple(
        Layer(
            number=number,
            front_mm=(number - 1) * plan.sheet_mm,
            thickness_mm=plan.sheet_mm,
            outline=outlines[number],
            face=plan.body.layer_face(plan.channel.set_back_mm(number)),
            channel=number in plan.channel.layers,
            bar_seat=plan.bar.seat is not None and number in plan.bar.seat.layers,
            joints=tuple(plan.joints.lines(number, outlines[number])),
            pieces=cut_pieces(number, pieces[number], features, ports.get(number, ()), writer),
        )
        for number in plan.numbers
    )
    strength, weights = form_strength(pressing, layers, plan.body.face), weigh(pressing, layers)
    return Form(
        pressing=pressing,
        makes=makes,
        body=plan.body.kind,
        face=plan.body.face,
        layers=layers,
        bar=plan.bar.seat,
        relief_stations_mm=_on_centre_line(plan, reliefs),
        strength=strength,
        weights=weights,
        findings=(
            *_stack_findings(plan),
            *plan.bar.findings,
            *plan.channel.findings,
            *relief_findings,
            *port_findings,
            *strength_findings(strength, pressing.recipe.units),
            *weight_findings(weights, pressing.recipe),
        ),
    )


def refuse_uncuttable(pressing: Pressing) -> None:
    """Refuse a form whose layers or pieces cannot be cut, without making it: no relief, dowel or port is placed.

    Raises:
        FormError: a piece that fits no sheet, a body that cannot be cut, a bar that was asked for and has no seat.
    """
    plan = _plan(pressing)
    for number in plan.numbers:
        plan.pieces(number, plan.outline(number))


def _dowels(plan: Plan, pieces: Sequence[Outline], room: Room, diameter_mm: float) -> tuple[Point, ...]:
    """Places for the dowels; where there are none for want of what the bar's seat takes away, the bar is named."""
    try:
        return place_dowels(plan.joints.cells(), pieces, room, diameter_mm)
    except FormError as err:
        if plan.bar.seat is None:
            raise
        raise FormError(
            f"form.spreader_bar: the layers that the bar's seat cuts away leave too little ({err}), expected room for "
            "dowels; set the bar elsewhere (form.spreader_bar.height), or leave it out: spreader_bar: false"
        ) from err


def _plan(pressing: Pressing) -> Plan:
    recipe = pressing.recipe
    part, ask, sheet = recipe.part, recipe.asked.form, recipe.sheet
    count = recipe.layer_count
    if count > MOST_LAYERS:
        raise FormError(
            f"part.depth = {part.depth_mm:.0f} mm asks for {count} layers of {sheet.thickness_mm:.2f} mm, expected "
            f"at most {MOST_LAYERS}: look at the units of the depth and of the sheet"
        )
    before, after = (ask.run_on_mm + waste for waste in pressing.arch.waste_mm)
    body = make_body(pressing, before, after)
    begin = body.face.nearest(pressing.face.start.x_mm, pressing.face.start.y_mm)[0]
    return Plan(
        pressing=pressing,
        body=body,
        part=(begin, begin + pressing.face.length_mm),
        count=count,
        sheet_mm=sheet.thickness_mm,
        bar=plan_bar(pressing, count, sheet.thickness_mm, body.outline()),
        channel=plan_channel(pressing, body, count),
        joints=plan_joints(body, sheet, ask.least_pieces),
    )


def _room(plan: Plan, outlines: dict[int, Outline]) -> Room:
    """Inside every layer, clear of every joint."""
    joints = [
        Capsule(a=a, b=b, radius_mm=0.0)
        for number in plan.numbers[:2]
        for a, b in plan.joints.lines(number, plan.body.outline())
    ]
    return Room(outlines=tuple(dict.fromkeys(outlines.values())), taken=tuple(joints))


def _reliefs(plan: Plan, room: Room) -> tuple[tuple[Relief, ...], tuple[Finding, ...]]:
    recipe = plan.pressing.recipe
    wanted = recipe.asked.form.clamp_reliefs
    if wanted is False or (wanted is None and plan.pressing.form_in_bag):
        return (), ()
    ask = wanted if isinstance(wanted, ReliefAsk) else _usual_relief(plan.pressing)
    return place_reliefs(plan.body, plan.part, ask, recipe, room, _pair_wishes(plan))


def _pair_wishes(plan: Plan) -> tuple[Stand, ...]:
    """Return where clamps must be able to stand at the ends of the curve and where it jumps, on the form face.

    Only where the bag goes round the part alone do other clamps come off; elsewhere all stay, as evenly as they can.
    """
    pressing = plan.pressing
    if pressing.way != "part-bagged":
        return ()
    recipe = pressing.recipe
    pressed, part = pressing.laminate.pressed, recipe.part
    closing = figure("closing_clamp_mm", recipe.shop).value

    def on_face(station_mm: float) -> float:
        return plan.part[0] + same_place(pressed, pressing.face, station_mm)

    return tuple(
        replace(
            stand,
            station_mm=on_face(stand.station_mm),
            least_mm=on_face(stand.least_mm),
            greatest_mm=on_face(stand.greatest_mm),
        )
        for stand in stands(pressed, pressing.side, part.tolerance_mm, closing)
    )


def _usual_relief(pressing: Pressing) -> ReliefAsk:
    """Usual sizes; where clamps alone press the glue lines, as close on the face as their caul asks on the part.

    A tenth closer than that, since a relief that clashes is moved along the face.
    """
    usual = ReliefAsk()
    if pressing.caul is None:
        return usual
    sharp = max(abs(k) for _, k in pressing.laminate.pressed.pieces)
    on_face = 1.0 - sharp * abs(pressing.face_offset_mm) if pressing.side == "male" else 1.0
    return usual.model_copy(update={"spacing_mm": 0.9 * on_face * pressing.caul.spacing_mm})


def _on_centre_line(plan: Plan, reliefs: Sequence[Relief]) -> tuple[float, ...]:
    """Stations of the reliefs on the pressed centre line, rising."""
    face, pressed = plan.pressing.face, plan.pressing.laminate.pressed
    return tuple(sorted(same_place(face, pressed, r.station_mm - plan.part[0]) for r in reliefs))


def _ports(
    plan: Plan, outlines: dict[int, Outline], room: Room
) -> tuple[dict[int, tuple[Groove, ...]], tuple[Finding, ...]]:
    ports: dict[int, tuple[Groove, ...]] = {}
    found: list[Finding] = []
    for number in plan.channel.layers:
        ports[number], findings = place_ports(
            plan.body, plan.part, plan.channel, outlines[number], plan.sheet_mm, room, plan.pressing.recipe.units
        )
        found.extend(findings)
    return ports, tuple(dict.fromkeys(found))


def _stack_findings(plan: Plan) -> Iterator[Finding]:
    part, units = plan.pressing.recipe.part, plan.pressing.recipe.units
    spare = plan.count * plan.sheet_mm - part.depth_mm
    stack = {"layers": plan.count, "sheet": plan.sheet_mm}
    yield finding("form.stack", units, value=spare, limit=2 * part.edge_trim_mm, **stack)
    pieces = len(plan.joints.odd) + 1
    if pieces > 1:
        yield finding("form.pieces", units, value=pieces)


@fixed
class Features:
    """The features cut through the stack, and those of a piece; pieces alike in outline are looked at once."""

    reliefs: tuple[Relief, ...]
    dowels: tuple[Point, ...]
    dowel_mm: float
    _seen: dict[Outline, tuple[list[Relief], list[Hole]]] = field(default_factory=dict, init=False)

    def on(self, outline: Outline) -> tuple[list[Relief], list[Hole]]:
        """The reliefs and dowel holes of one piece."""
        if outline not in self._seen:
            inside = Room(outlines=(outline,))
            grounds = inside.free(np.array([r.ground.a for r in self.reliefs]).reshape(-1, 2))
            centres = inside.free(np.array(self.dowels).reshape(-1, 2))
            holes = [Hole(centre=d, diameter_mm=self.dowel_mm) for d in compress(self.dowels, centres > 0)]
            self._seen[outline] = (list(compress(self.reliefs, grounds > 0)), holes)
        return self._seen[outline]


def cut_pieces(
    number: int, outlines: Sequence[Outline], features: Features, ports: Sequence[Groove], writer: Writer
) -> tuple[Piece, ...]:
    """The pieces of one layer with the features that fall on each."""
    pieces = []
    for i, outline in enumerate(outlines):
        reliefs, holes = features.on(outline)
        bare = Piece(
            name=f"L{number:02d}" if len(outlines) == 1 else f"L{number:02d}-{i + 1}",
            outline=outline,
            openings=tuple(r.opening for r in reliefs),
            holes=tuple(holes),
            grooves=tuple(g for g in ports if outline.contains(_middle(g.cleared))),
            marks=(),
            labels=(),
        )
        pieces.append(writer.inscribed(bare, number, i + 1, len(outlines), [r.ground for r in reliefs]))
    return tuple(pieces)


def _middle(outline: Outline) -> Point:
    xs, ys = [v[0] for v in outline.vertices], [v[1] for v in outline.vertices]
    return sum(xs) / len(xs), sum(ys) / len(ys)
