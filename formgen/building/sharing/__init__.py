"""Openings to forms: which come off which, within each one's tolerance.

Begin with `forms`; `intervals` finds the fewest forms for plain arcs, `families` asks for all other curves, `recipe`
writes the recipe of a form that is shared.
"""
