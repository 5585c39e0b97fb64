"""The folder of sheets: drawings for the router, map, pictures, cut list, and the hand-over.

Begin with `folder`; `handoff` verifies and copies; `picture` draws a sheet for `cut_list`, `wall` and other pages.
In: a `Layout` and its forms.
"""
