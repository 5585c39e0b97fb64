"""Stage `holding`: what holds the part to the form, and whether it may leave it under vacuum.

Begin with `stage`: a `Form` comes in, a `Holding` (`model`) goes out. `clamps` and `spreader_bar` say what is set,
`bending/` what bends the stack over the form, `on_form/` how far plies lift where clamps come off, `off_form/` what a
bar alone holds, and `do_not_press` the verdict. Who pushes on whom stands in DEVELOPERS.md, Premises.
"""
