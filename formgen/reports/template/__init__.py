"""The template at full size, on tiles of the shop's paper or on one roll.

Begin with `pdf`. `contents` is what is drawn and `cut` tells edges and wood apart; `fewest` lays the grid that `tiles`
describes; `window` and `names` make what one page shows and says, `page` what stands round it; `key` is the first page
with the `legend` of its lines; `roll` is the template in one piece.
"""
