"""Arches measured at the opening, by ordinates or by x, y pairs: in, the readings; out, the curve fitted to them.

Begin with `points`, which reads the recipe; `compare` fits every curve there is and takes one; `circle`, `ellipse`,
`centred` and `fair` are the fits; `doubt` finds the reading that does not belong to the others.
"""
