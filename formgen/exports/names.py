"""Stage `exports`: what the files of a form are called, relative to its folder."""

from __future__ import annotations

from formgen.form.model import Form, Layer
from formgen.recipe.as_asked import drawings_asked

JOB_FILE = "job.json"
STEP_FILE = "form.step"
STL_FILE = "form.stl"
STACK_FILE = "form-layers.dxf"
PICTURE_FILE = "form.svg"


def layer_file(layer: Layer) -> str:
    """The router's file of one layer."""
    return f"layers/layer-{layer.number:02d}.dxf"


def all_files(form: Form) -> tuple[str, ...]:
    """Every file beside the job record, in the order of writing."""
    made = (STEP_FILE, STL_FILE, *(layer_file(layer) for layer in form.layers), STACK_FILE, PICTURE_FILE)
    return (*made, *drawings(form))


def drawings(form: Form) -> tuple[str, ...]:
    """The drawings that the recipe was made from, kept with the files so that they can be verified without them."""
    return drawings_asked(form.pressing.laminate.arch.recipe)
