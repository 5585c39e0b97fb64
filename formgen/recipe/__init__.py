"""Stage `recipe`: what was asked: part recipe, shop file, catalogue, and the place of every mistake in them.

Begin with `load`: a path comes in, a `Recipe` (`model`) goes out, or one line for each mistake. `schema` and `shop`
are the two files' keys, `catalogue` the tables of `data/`, read through the models of `entries`.
"""
