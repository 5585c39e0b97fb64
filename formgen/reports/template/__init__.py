"""The template at full size, on tiles of the shop's paper or on one roll.

Begin with `pdf`; `tiles` divides, `contents` draws, `key` shows which tile lies where.
"""
