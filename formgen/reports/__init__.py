"""Pages for people, from numbers that exist already.

Begin with `pages`: every page that is written with a form's files. In: a `Holding`. Out: bytes.
"""
