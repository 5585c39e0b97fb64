"""formgen: from a part recipe to the bending form that the router cuts."""

__version__ = "0.1.0"
