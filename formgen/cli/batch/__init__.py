"""The command `batch`: `command` asks, `events` tells while it runs, `summary` at the end."""
