"""Plies that slide on one another under vacuum, free of the form: the strip that `off_form` solves.

Begin with `trial`: a chain of arcs under moments and Coulomb friction between plies; `at_rest` finds it at rest.
In and out: stations in mm, N and mm.
"""
