"""The press-day sheet: steps in the order of the shop's day for each way of pressing, with their pictures.

Begin with `page`, then `band`, the four numbers under the head, `day`, which lists the steps, and `flow`, in which
platypus puts them into columns and sides; `strip` draws the pictures from the part's own geometry.
"""
