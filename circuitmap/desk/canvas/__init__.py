"""The plan on screen: items from marks, the view, gestures. What to draw is decided in ``circuitmap.drawing``."""
