"""The report of a form as one HTML file that opens without a network.

Begin with `report` and the template of that name beside it, which is the layout; `page` and its template are round
every page, `parts.html` what pages are put together from, `drawing` the pictures in them, `ring` what shows a place of one larger.
"""
