"""The batch itself: jobs, where they run, what is rebuilt, pieces on sheets.

Begin with `batch`; `jobs` is one form, `pool` and `engine` say where jobs run, `events` what is told meanwhile.
"""
