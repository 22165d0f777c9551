"""What to draw: marks, the palette, symbols and their states, the legend, and the pen that writes SVG.

Nothing here knows Qt: the canvas is another pen for the same marks. Positions are plan mm, sizes are px.
What a circuit or a finding *is* is decided below; this package only shows it.
"""

from circuitmap.drawing.legend import CircuitWords, legend_of
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, Picture, Words
from circuitmap.drawing.palette import circuit_ink, colour
from circuitmap.drawing.svg import svg_text
from circuitmap.drawing.symbols import symbol, symbol_name

__all__ = [
    "Area",
    "CircuitWords",
    "Glyph",
    "Ink",
    "Line",
    "Mark",
    "Picture",
    "Words",
    "circuit_ink",
    "colour",
    "legend_of",
    "svg_text",
    "symbol",
    "symbol_name",
]
