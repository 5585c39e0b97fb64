"""The eight answers against sums of their own: how far a part opens, what is cut, which clamps stay."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from formgen.answers import HEADS, LINE, Answers, answers, recorded_rows
from formgen.findings import Severity
from formgen.holding.model import Holding
from formgen.outputs.record.job import job_record
from formgen.pipeline import run
from formgen.recipe.load import load_recipe


def test_each_has_one_line_and_a_number_in_a_unit(shipped: Holding) -> None:
    found = answers(shipped)
    for field in HEADS:
        answer = getattr(found, field)
        assert 3 < len(answer.text) <= LINE, (field, answer.text)
        assert "\n" not in answer.text
        assert answer.unit in {"mm", "kg", "min", "plies", "sheets", "clamps"}
        assert answer.value is None or math.isfinite(answer.value)


def test_a_jamb_opens_at_its_feet_as_half_a_circle_with_legs_does(made: Callable[[str], Any]) -> None:
    """Lengths stay, curvature falls by 1/n² (composite beam theory, n like plies): the feet of an arc of length L and
    radius R with legs ℓ stand 2(R sin(L/2R) + ℓ cos(L/2R)) apart."""
    form = made("porch-door-jamb")
    radius, legs = 25.4 * 18.5, 25.4 * 14
    pressed = radius * (1 - 1 / 8**2)

    def feet(r: float) -> float:
        half = math.pi * radius / 2 / r
        return 2 * (r * math.sin(half) + legs * math.cos(half))

    found = answers(form).spring_back
    assert found.value == pytest.approx(feet(radius) - feet(pressed), abs=1e-6)
    assert found.text.startswith("opens 1 9/32 in at the feet (1.6 %")


def test_moisture_that_is_built_in_is_no_spring_back(changed: Callable[..., Any]) -> None:
    """The part comes off opened by 1/n² of what it was pressed to; drying is another matter."""
    glue = ("plies: 8", "plies: 8\n  adhesive: urea formaldehyde\n  allow_for_moisture: true")
    form = changed("porch-door-jamb", glue)
    radius = 1.0 / max(k for _, k in form.laminate.pressed.pieces)
    arc, legs = math.pi * 25.4 * 18.5, 25.4 * 14

    def feet(r: float) -> float:
        return 2 * (r * math.sin(arc / 2 / r) + legs * math.cos(arc / 2 / r))

    assert radius != pytest.approx(25.4 * 18.5 * 63 / 64, rel=1e-4)
    assert answers(form).spring_back.value == pytest.approx(feet(radius * 64 / 63) - feet(radius), abs=1e-6)


def test_they_are_those_of_the_stages(shipped: Holding) -> None:
    found = answers(shipped)
    assert found.plies.value == len(shipped.laminate.plies)
    assert f"cut {sum(cut.count for cut in shipped.laminate.materials.cuts)}, " in found.plies.text or len(
        found.plies.text
    ) > LINE - len("; cut 13, 6 1/4 × 44 7/16 in")
    assert found.form.value == shipped.weights.form_kg
    assert shipped.pressing.side in found.form.text
    assert shipped.recipe.sheet_name in found.sheets.text
    assert f"{len(shipped.layers)} layers" in found.sheets.text
    assert found.press.value == shipped.pressing.glue.press_min
    assert found.glue.value == shipped.pressing.glue.mixed_kg
    if shipped.bar_setting is not None:
        assert found.bar.value == shipped.bar_setting.jaw_to_jaw_mm
        assert shipped.bar_setting.tape in found.bar.text
    if shipped.on_form is not None and shipped.on_form.holds:
        stay = [str(s.clamp) for s in shipped.on_form.stays]
        assert f"{', '.join(stay)} stay on; part {shipped.off.advice[:4] if shipped.off else ''}" in found.holding.text
    face = shipped.recipe.part.measured_on
    assert (f"on the {face} face" if face != "centre" else "on its centre line") in found.asked


def test_what_is_asked_is_said_as_it_was_typed(made: Callable[[str], Any]) -> None:
    assert answers(made("porch-door-jamb")).asked == (
        "semicircle, span 36 in, on the inside face; legs 14 in; 5 1/4 in deep, 1 in thick; the bag round the part"
    )
    assert answers(made("lending-desk-panel")).asked.startswith("segmental, radius 1900 mm, sweep 104°, on the outside")
    assert "chain, 5 pieces, on its centre line" in answers(made("newel-handrail")).asked
    assert "; leg 8 in right; " in answers(made("stair-corner")).asked
    assert "; make 2, the second turned over; " in answers(made("chapel-window-half")).asked


def test_the_verdict_counts_what_is_to_mend(made: Callable[[str], Any]) -> None:
    clean = made("newspaper-stall")
    assert answers(clean).verdict == "May be pressed. No warnings."
    (warning,) = (f for f in made("music-room-hood").all_findings if f.severity is Severity.WARNING)
    assert answers(replace(clean, holding_findings=(warning,))).verdict == "May be pressed. 1 warning to read first."
    worse = replace(warning, severity=Severity.PROBLEM)
    assert answers(replace(clean, holding_findings=(worse, warning))).verdict == (
        "DO NOT PRESS: 1 problem to mend first."
    )


def test_the_record_holds_them(shipped: Holding) -> None:
    record = json.loads(json.dumps(job_record(shipped)))
    found = answers(shipped)
    assert recorded_rows(record) == list(found.rows())
    assert list(record["found"])[:2] == ["verdict", "answers"]
    assert list(record["found"]["answers"]) == list(Answers.__dataclass_fields__)
    del record["found"]["answers"]
    assert recorded_rows(record) == []


@pytest.mark.parametrize(
    ("way", "held"),
    [
        ("part-bagged", "clamps from the back; 2 stay on; part stays on the form"),
        ("clamped", "clamps from the back on a caul, all on until the glue has set"),
        ("form-bagged", "hands and clamps until the legs are down, then the bag"),
    ],
)
def test_a_form_without_reliefs_is_clamped_from_the_back(tmp_path: Path, way: str, held: str) -> None:
    """The bag round the part alone holds it to nothing: in that way, and without a bag, clamps do."""
    path = tmp_path / "niche.yaml"
    path.write_text(
        "units: mm\narch: {kind: semicircle, span: 900}\nmeasured_on: inside\ndepth: 80\nthickness: 18\n"
        f"wood: white ash\nway: {way}\nform: {{clamp_reliefs: false}}\n",
        encoding="utf-8",
    )
    found = answers(run(load_recipe(path))).holding
    assert (found.text, found.value) == (held, 0.0)
