"""formgen: from a part recipe to the bending form that the router cuts."""

import logging

# What libraries would say of their own caches is no part of what this program says.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

__version__ = "0.1.0"
