"""A form's folder, put in place whole or not at all, and verified at any later time.

Begin with `write` and `verify`. `names` says what they are called; `whole`, `exchange` and
`exclusive` put them in place; `tree` and `litter` look at what lies there; `made_again` says what each file would
hold today.
"""
