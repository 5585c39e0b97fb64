"""formgen: from a part recipe to the bending form that the router cuts."""

from formgen.libraries import keep_to_themselves

keep_to_themselves()

__version__ = "0.1.0"
