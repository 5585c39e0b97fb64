"""Pages for people, from numbers that exist already."""
