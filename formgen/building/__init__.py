"""A building's worth of openings: schedule, shared forms, jobs that are rebuilt only where something changed, summary."""
