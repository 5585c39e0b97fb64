"""A drawing as data, mm on paper: strokes, words and fills, to DXF and to PDF.

Begin with `ink` (what a drawing is made of) and `view` (from the thing's mm to the paper's); `dimension`, `table`,
`title` and `layout` put it on a sheet, `field` finds room for a line of text. `to_pdf` prints it and
`formgen/outputs/dxf/paper.py` writes it as a drawing; `paper` and `text` are pens, letters and line breaks for every
page.
"""
