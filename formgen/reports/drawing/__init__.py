"""The shop drawing: views of form and part with their sizes, lists, the frame; on the paper that holds them.

Begin with `sheets`; `subject` sorts what is drawn once for all views.
"""
