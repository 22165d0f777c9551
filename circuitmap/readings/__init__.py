"""What a meter should say, what it said, and what that means: networks of resistances, formulas of the tests, verdicts.

Stands on the circuits as they are known; rules over readings are ``findings``, sizes of cables and devices ``design``.
Nothing here says that anything is dead or safe to touch.
"""
