"""A form's folder, put in place whole or not at all, and verified at any later time.

Begin with `write` and `verify`. `names` says what the files are called; `whole` and `exclusive` put them in place.
"""
