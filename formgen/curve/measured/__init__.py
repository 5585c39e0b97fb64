"""Arches from points measured at the opening: in, ordinates or x, y pairs; out, an arc spline.

Begin with `points`; `fitting` finds the circle, half-ellipse or fair curve through them.
"""
