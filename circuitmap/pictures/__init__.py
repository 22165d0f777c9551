"""Pictures as they come in: what they are, whether they can be used as a plan, their pixels, lines and words.

Every reader judges a file by its content. Nothing here knows records or scales: bytes go in, a checked picture comes
out. A further format made of pixels is a further row in ``readers``.
"""

from circuitmap.pictures.info import Linework, PictureInfo, PlacedText
from circuitmap.pictures.levels import Level, grey_levels, still_png, thumbnail
from circuitmap.pictures.open import decode_rgba, look
from circuitmap.pictures.photo import Photo, Pixels, shrunk, take_photo
from circuitmap.pictures.readers import MOST_BYTES, MOST_MEGAPIXELS
from circuitmap.pictures.vector import is_line_drawing, linework, render

__all__ = [
    "MOST_BYTES", "MOST_MEGAPIXELS", "Level", "Linework", "Photo", "PictureInfo", "Pixels", "PlacedText", "decode_rgba",
    "grey_levels", "is_line_drawing", "linework", "look", "render", "shrunk", "still_png", "take_photo", "thumbnail",
]  # fmt: skip
