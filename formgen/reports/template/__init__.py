"""The full-size template: what is drawn on it, the tiles that it is printed on, and one piece for a plotter."""
