"""Stage `curve`: from the recipe to the arch that the part must end up as.

Begin with `stage`: a `Recipe` comes in, an `Arch` (`arch`) goes out. `arches` holds the models by sizes (`struck` the
arcs of those with several centres), `measured/` those from points taken at the opening, `drawn/` those from a DXF path.
`ordinates`, `readings` and `gauge_plate` say what a tape reads on the finished part.
"""
