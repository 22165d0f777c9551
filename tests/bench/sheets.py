"""Large sheets to measure with: a picture of 65 megapixels, an A3 page of 20 000 lines, a DXF of as many."""

import io
import random
from functools import cache

import ezdxf
from PIL import Image, ImageDraw

from tests.pictures import pdfs

WIDE_PX, HIGH_PX = 9_600, 6_784
LINES = 20_000


@cache
def large_picture(form: str) -> bytes:
    """Walls and thin lines in colours on white paper, 9 600 × 6 784 px."""
    chance = random.Random(5)
    picture = Image.new("RGB", (WIDE_PX, HIGH_PX), "white")
    pen = ImageDraw.Draw(picture)
    for n in range(3_000):
        x, y, far = chance.randrange(WIDE_PX), chance.randrange(HIGH_PX), chance.randrange(50, 900)
        end = (x + far, y) if n % 2 else (x, y + far)
        pen.line([(x, y), end], fill=(chance.randrange(160), 20, chance.randrange(90)), width=chance.choice((3, 4, 24)))
    stream = io.BytesIO()
    picture.save(stream, form, **({"quality": 92} if form == "JPEG" else {"compress_level": 4}))
    return stream.getvalue()


@cache
def lines() -> tuple[tuple[float, float, float, float], ...]:
    """20 000 lines on an A3 page, in points."""
    chance = random.Random(6)
    found = []
    for _ in range(LINES):
        x, y = chance.uniform(20, 1_100), chance.uniform(20, 780)
        far = chance.uniform(2, 60)
        found.append((x, y, x + far, y) if chance.random() < 0.5 else (x, y, x + far / 3, y + far))
    return tuple(found)


@cache
def vector_pdf() -> bytes:
    """These lines as a PDF page."""
    return pdfs.pdf(b"0.3 w " + b" ".join(b"%.2f %.2f m %.2f %.2f l S" % line for line in lines()))


@cache
def vector_svg() -> bytes:
    """These lines as an SVG."""
    paths = "".join(f'<path d="M{a:.2f} {b:.2f}L{c:.2f} {d:.2f}"/>' for a, b, c, d in lines())
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="420mm" height="297mm" viewBox="0 0 1190.55 841.89">'
        f'<g stroke="black" stroke-width="0.3">{paths}</g></svg>'
    ).encode()


@cache
def vector_dxf() -> bytes:
    """These lines as a DXF, ten millimetres a point."""
    document = ezdxf.new()
    document.units = 4
    for a, b, c, d in lines():
        document.modelspace().add_line((10 * a, 10 * b), (10 * c, 10 * d))
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()
