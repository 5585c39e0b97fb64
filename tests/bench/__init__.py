"""Speed, measured as ratios in one run: `python -m tests.bench`. Nothing here is a timed test."""
