"""Stage `outputs`: files that a desktop leaves in any folder: never in the way of a build, never passed over unsaid."""

from __future__ import annotations

#: Their names.
LITTER = ("Thumbs.db", "desktop.ini", ".DS_Store")
