"""The job record: what was asked and what was found, written, read from a file that anybody may have touched.

Begin with `job`; `asked` goes back from a record to its recipe, `reader` and `check` trust nothing in it.
"""
