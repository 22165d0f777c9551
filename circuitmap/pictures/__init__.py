"""Pictures as they come in: what they are, whether they can be used as a plan, and their pixels.

Every reader judges a file by its content. Nothing here knows records or scales: bytes go in, a checked picture comes
out. A further format is a further row in ``readers``.
"""

from circuitmap.pictures.open import PictureInfo, decode_rgba, look
from circuitmap.pictures.readers import MOST_BYTES, MOST_MEGAPIXELS

__all__ = ["MOST_BYTES", "MOST_MEGAPIXELS", "PictureInfo", "decode_rgba", "look"]
