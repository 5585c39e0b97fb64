"""The part in its bag, off the form, held by a bar or tie alone: how far it opens.

Begin with `advice`; `hanging` finds the shape together with the bar, `friction` what plies carry between them,
`standing` what a tape reads. In: a `Form` and its bar. Out: departures in mm, for a range of friction.
"""
