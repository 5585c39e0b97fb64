"""Checks of the finished part: the page to fill in with a tape, and the plate for the router.

Begin with `page`; `plate` is `gauge.dxf`.
"""
