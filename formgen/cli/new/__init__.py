"""`formgen new`: a recipe from answers, from options, or a commented one with invented numbers.

Begin in `command`; `asking` holds the questions in their order, `probe` says what a recipe's check would say to an
answer, and `shown` what the part becomes.
"""
