"""Rows of numbers and words that several pages and the screen share: plies, press day, holding, parts.

Begin with `decisions`, the order in which a shop asks. In: a `Holding`. Out: label, value, unit.
"""
