"""An opening schedule, CSV or XLSX, as one recipe for each opening.

Begin with `read`, which types rows over the base recipe; `file` and `table` give cells, `columns` says what they mean.
"""
