"""Bending: what hands and clamps must push to bring the stack over the form, and how soft the vacuum must be.

Begin with `forces`; `contact` is a foot pushed down on the form, `soft_vacuum` the reading at which friction matters.
In: a `Form`. Out: `model`, N and kPa as ranges.
"""
