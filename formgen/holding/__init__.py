"""Stage `holding`: what holds the part while the glue sets: clamps, bar, on the form and off it.

Begin reading at `stage.py`. In: a Form. Out: a Holding, which is that form with all that holds the part to it.
"""
