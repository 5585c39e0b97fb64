"""A building's worth of openings: schedule, shared forms, jobs rebuilt only where something changed.

Begin with `running/batch`: a schedule comes in, forms, sheets and `building.json` go out. `schedule/` reads,
`sharing/` decides which openings come off which form, `running/` builds, `press_days/` plans, `summary/` tells.
"""
