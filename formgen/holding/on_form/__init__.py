"""Loose plies on the form under vacuum, with most clamps off: how far they lift, and which clamps must stay.

Begin with `choose`; `lifts` asks `strip`, which lies on the form's bed (`bed`, `contact`) and is held by friction at
the clamps (`friction`). In: a `Form` and its clamps. Out: lifts in mm, clamps by number.
"""
