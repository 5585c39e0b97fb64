"""What the laminate puts into the job record, and that a recipe with its keys comes back from it."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

import pytest

from formgen.form.model import Form
from formgen.outputs.record.asked import recipe_from_job
from formgen.outputs.record.job import job_record
from formgen.reports.rows.decisions import decisions

GLUED = ("plies: 6\n", "plies: auto\n  adhesive: polyvinyl acetate\n  glue_line_stiffness: 0.9\n  spares: 2\n")
BOARDS = ("altitude: 310 m", "altitude: 310 m\nply_thicknesses: [3.175 mm, 1/16 in]\nboards: {width: 200, length: 3 m}")


def test_numbers_say_their_units(changed: Callable[..., Form]) -> None:
    in_bag = ("side: male", "side: male\n  way: form-bagged")
    found = job_record(changed("reading-room-head", GLUED, in_bag, shop=(BOARDS,)))["found"]["laminate"]
    assert abs(found["spring_back_elastic"] - 1 / 36) < 1e-12
    assert abs(found["spring_back"] - 1 / (1 + 0.9 * 35)) < 1e-12
    assert found["moisture"]["most"]["radius_change"] < found["moisture"]["middle"]["radius_change"] < 0
    assert {"water_g_per_m2", "moisture_rise_pct", "chord_change_mm"} <= set(found["moisture"]["least"])
    assert [t["end"] for t in found["tails"]] == ["right", "left"]
    assert {"length_mm", "trim_mm", "gap_at_tip_mm", "gap_at_end_mm"} <= set(found["tails"][0])
    assert found["materials"]["cuts"][-1]["count"] == 2
    assert found["materials"]["resaw"][0]["from_a_strip"] == 5
    assert found["tightest"]["varies"] is False


def test_the_recipe_comes_back(changed: Callable[..., Form]) -> None:
    form = changed("reading-room-head", GLUED, shop=(BOARDS,))
    recipe = form.recipe
    assert recipe_from_job(job_record(form), recipe.folder) == replace(recipe, findings=(), file="")


def test_every_shipped_recipe_has_its_rows(shipped: Form) -> None:
    rows = dict(next(s for s in decisions(shipped) if s.title == "Plies").rows)
    assert {"spring-back", "moisture pull-in", "plies to cut", "bend"} <= set(rows)
    assert ("ends under pressure" in rows) == (shipped.pressing.way == "form-bagged")
    laminate = shipped.laminate
    assert any(name.startswith("boards of ") for name in rows) == bool(laminate.materials.resaw)
    assert ("tightest stretch" in rows) == laminate.tightest.varies


def test_rows_of_a_glued_part(changed: Callable[..., Form]) -> None:
    glued = ("plies: 8", "plies: 8\n  adhesive: urea formaldehyde")
    rows = dict(decisions(changed("porch-door-jamb", glued, ("side: male", "side: male\n  way: form-bagged")))[1].rows)
    assert rows["moisture pull-in"].startswith("radius -")
    assert "than the form" in rows["from press to dry part"]
    assert rows["ends under pressure"] == "straight legs hold them to the form"


@pytest.mark.parametrize(
    ("legs", "press", "slack_mm", "off_form_mm"),
    [
        ("14", "side: male", None, None),
        ("{length: 14, run: plumb}", "{side: male, slack: 1/64, off_form_tolerance: 1/16}", 0.396875, 1.5875),
        ("{right: 10, run: tangent}", "{side: male, slack: 0}", 0.0, None),
        ("{run: tangent}", "{side: female, off_form_tolerance: 2 mm}", None, 2.0),
    ],
)
def test_legs_and_what_is_asked_of_the_press_come_back(
    changed: Callable[..., Form], legs: str, press: str, slack_mm: float | None, off_form_mm: float | None
) -> None:
    press = press if press.startswith("{") else f"{{{press}}}"
    form = changed("porch-door-jamb", ("legs: 14", f"legs: {legs}"), ("press:\n  side: male", f"press: {press}"))
    recipe = form.recipe
    record = json.loads(json.dumps(job_record(form)))
    assert recipe_from_job(record, recipe.folder).asked == recipe.asked
    said = record["asked"]["recipe"]["press"]
    assert (said["slack_mm"], said["off_form_tolerance_mm"]) == (slack_mm, off_form_mm)
