"""The parts that come off a form: one for each opening, with its trim lines, ply lengths and readings.

Begin with `on_form`; `model` is the result. In: a `Pressing`, and the openings where several share a form.
"""
