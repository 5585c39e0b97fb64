"""Stage `recipe`: what the shop asked for."""
