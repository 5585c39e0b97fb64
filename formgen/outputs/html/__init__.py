"""Every page of HTML: the shell round it (`page`), one stylesheet (`page.css`), and the look that pictures share.

Begin with `page.py`: a template and values come in, a page goes out. `look.css` holds colours, sizes and lines for the
screen, dark, light and printed; the pictures beside the pages (`paint.py`) take the same.
"""
