"""Every file of a form, sheet or record: written, read back, held against the model.

Begin with `table`, a row for each kind of file, and `folder/write`: a `Holding` comes in, a folder goes out, whole or
not at all. One room for each format, each with a writer and a `check` that reads the file again. `svg` writes every
picture's elements, `templates` fills every page of HTML.
"""
