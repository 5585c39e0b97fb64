"""After the stages: one value that would cure a warning or a problem, ready to paste after `check --set`.

In: a Holding. Out: the same with a setting for each finding that one value cures. Begin in `stage`; `trial` makes the
stages again with a value and says whether it works, `ways` knows what to try for which finding, `plies`, `press` and
`body` where it takes a sum. Nothing here finds anything new.
"""
