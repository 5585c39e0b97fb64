"""Files for the shop, one module for each format, and reading them back."""
