"""A building's worth of openings: schedule, shared forms, jobs rebuilt only where something changed."""
