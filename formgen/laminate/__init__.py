"""Stage `laminate`: which plies, how far they spring back, and the curve they are pressed to."""
