"""The batch itself: jobs, where they run, what is rebuilt, pieces on sheets.

Begin with `batch`; `jobs` is one form, `pool` gives jobs out, `processes` and `engine` say where they run, `events`
what is told meanwhile.
"""
