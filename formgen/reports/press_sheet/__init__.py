"""The press-day sheet: what the bench does, step by step, for the way in which this part is pressed.

Begin with `day.py`: the steps of each way in their order, as plain data made by `prepare.py`, `lay_up.py`, `hold.py`
and `finish.py`. `text.py` writes them as lines, `strip.py` draws the small pictures, `page.py` lays both out: out comes
`press-day.pdf`.
"""
