"""Stage `curve`: arc splines, arches, and curves fitted to what was measured."""
