"""The press-day sheet: steps in the order of the shop's day for each way of pressing, with their pictures.

Begin with `page`, then `day`, which lists the steps; `strip` draws the pictures from the part's own geometry.
"""
