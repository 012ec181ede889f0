"""Study: what a teacher hands out and a student learns with, made from facts: sheets, items, cards, a schedule.

Imports `read`, `facts`, `check`, `names` and `teach`. Nothing here keeps an account or follows anyone.
"""
