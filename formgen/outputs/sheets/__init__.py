"""The folder of sheets: drawings for the router, map, picture, cut list, and the hand-over.

Begin with `folder`; `handoff` verifies and copies. In: a `Layout` and its forms.
"""
