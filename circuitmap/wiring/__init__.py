"""The wiring as it hangs together: pieces, their graph, what their shape says, and what is under or above a device.

All of it is worked out from runs, counts and devices alone. Which circuit a point belongs to (runs, tags and
switch-offs together) is said in ``circuits``; whether a shape is allowed, in ``findings``.
"""

from circuitmap.wiring.graph import graph_of
from circuitmap.wiring.pieces import Piece, pieces, pieces_of
from circuitmap.wiring.shape import LooseEnd, Shape, ShapeKind, Spur, Untraced, shape_of, shapes
from circuitmap.wiring.supply import above, feeders, under

__all__ = [
    "LooseEnd",
    "Piece",
    "Shape",
    "ShapeKind",
    "Spur",
    "Untraced",
    "above",
    "feeders",
    "graph_of",
    "pieces",
    "pieces_of",
    "shape_of",
    "shapes",
    "under",
]
