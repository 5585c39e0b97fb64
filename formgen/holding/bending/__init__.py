"""Stage `holding`: what it takes to bend the loose stack to the form, and how soft the vacuum must be meanwhile."""
