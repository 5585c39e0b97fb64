"""An opening schedule, CSV or XLSX, as one recipe for each opening.

Begin with `read`, which types rows over the base recipe (`rows`). `file` gives cells, `header` finds the column names,
`table` and `asides` keep the openings, `columns` says what names mean and `settle` what only the cells can tell; the
office's words stand in `data/words.toml`. `reading` is how it was all read.
"""
