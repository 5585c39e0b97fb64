"""An opening schedule, CSV or XLSX, as one recipe for each opening.

Begin with `read`; `table` and `workbook` give cells, `columns` and `rows` type them over the base recipe.
"""
