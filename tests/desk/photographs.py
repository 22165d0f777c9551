"""Invented photographs: a plate with a scorched edge, drawn, and small noise that compresses like a real one."""

from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter


def scene(seed: int = 1, size_px: tuple[int, int] = (1280, 960)) -> Image.Image:
    """A white twin socket on a painted wall, one corner charred."""
    rng = np.random.default_rng(seed)
    wide, high = size_px
    tint = np.array([[206, 198, 182], [182, 200, 206], [200, 186, 196], [190, 202, 180]][seed % 4], dtype=float)
    fall = np.linspace(1.06, 0.9, wide)[None, :, None] * np.linspace(1.02, 0.95, high)[:, None, None]
    wall = np.clip(tint * fall + rng.normal(0, 4, (high, wide, 1)), 0, 255).astype(np.uint8)
    picture = Image.fromarray(wall)
    draw = ImageDraw.Draw(picture)
    left, top, right, low = wide // 5, high // 4, wide * 4 // 5, high * 3 // 4
    draw.rounded_rectangle((left, top, right, low), 24, fill=(244, 243, 238), outline=(150, 150, 146), width=4)
    for side in (0, 1):
        middle = left + (right - left) * (1 + 2 * side) // 4
        for dx, dy, w, h in ((0, -90, 16, 46), (-60, 30, 40, 15), (60, 30, 40, 15)):
            at = (middle + dx - w, (top + low) // 2 + dy - h // 2, middle + dx + w, (top + low) // 2 + dy + h // 2)
            draw.rectangle(at, fill=(60, 58, 56))
    char = Image.new("L", size_px, 0)
    spot = (left - 60 + 40 * seed, low - 130, left + 260 + 40 * seed, low + 70)
    ImageDraw.Draw(char).ellipse(spot, fill=210)
    soft = char.filter(ImageFilter.GaussianBlur(40))
    return Image.composite(Image.new("RGB", size_px, (52, 38, 28)), picture, soft)


def photograph(path: Path, seed: int = 1, size_px: tuple[int, int] = (1280, 960), **options: object) -> Path:
    """Save one as a file."""
    scene(seed, size_px).save(path, quality=90, **options)
    return path


def photo_bytes(seed: int = 1, size_px: tuple[int, int] = (640, 480)) -> bytes:
    """One as the bytes of a JPEG file."""
    stream = BytesIO()
    scene(seed, size_px).save(stream, "JPEG", quality=88)
    return stream.getvalue()
