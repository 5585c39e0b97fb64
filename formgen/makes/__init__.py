"""Stage `makes`: the parts that come off a form: one for a form of its own, one for each opening of a shared form."""
