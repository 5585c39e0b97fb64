"""Stage `holding`: what it takes to bend the loose plies to the form, and what friction spoils while they bend.

Begin reading at `forces.py`: what brings each end in and what closes it. `contact.py` is the strip under one clamp on a
springy form; `soft_vacuum.py` the gauge reading that a bag may have while its plies bend.
"""
