"""How slow this machine is just now, so that what must be quick may take as much longer: no test depends on a deadline.

A fixed loop is timed beside what is asked about. On the machines that times are promised for it takes `USUAL_S`.
"""

from __future__ import annotations

import time

#: The loop on an ordinary desk machine (processor time, s).
USUAL_S = 0.06


def allowed_s(promised_s: float) -> float:
    """The processor time (s) in which something promised within `promised_s` must be done here and now."""
    begin = time.process_time()
    sum(i * i for i in range(1_000_000))
    return promised_s * max(1.0, (time.process_time() - begin) / USUAL_S)
