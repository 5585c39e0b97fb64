"""Stage `holding`: the part on the form under vacuum with most clamps off: how far it lifts, which clamps must stay."""
