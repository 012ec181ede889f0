"""Quiz items made from facts, each with exactly one right answer under the open world.

`kinds` makes candidates, `item` is what one is, `bench` is what makers may ask, `choose` picks by seed and blueprint.
"""
