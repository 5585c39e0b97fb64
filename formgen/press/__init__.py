"""Stage `press`: side of the form, what lies between form and part, vacuum, bag, glue.

Begin with `stage`: a `Laminate` comes in, a `Pressing` (`setup`) goes out, with the form face in it. `squeeze`,
`vacuum` and `film` belong to the bag, `caul` to clamps, `drawing_down` to a form inside the bag.
"""
