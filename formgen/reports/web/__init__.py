"""The report of a form as one HTML file that opens without a network.

Begin with `report`; `markup` is the page, `drawing` the pictures in it.
"""
