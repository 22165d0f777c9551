"""A picture without what was written into it beside its pixels: place, time, owner, comments, thumbnails.

Nothing is decoded and no pixel changes; only parts of the file that tell of something else are left out. How a picture
lies (upright or on its side) is kept, since it couldn't be looked at otherwise.

**Source:** ISO/IEC 10918-1 annex B (markers of JPEG), ISO/IEC 15948 (chunks of PNG), the RIFF container of WebP
(RFC 9649), Exif 2.3 tag 0x0112 for how a picture lies.
"""

import struct
import zlib
from collections.abc import Iterator
from typing import Final

_PNG: Final = b"\x89PNG\r\n\x1a\n"
_PNG_KEPT: Final = frozenset(
    (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"bKGD", b"pHYs")
)
# JFIF, colour profile, Adobe's note on how colours are laid out: without them it would look different.
_JPEG_KEPT: Final = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
_WEBP_TOLD: Final = frozenset((b"EXIF", b"XMP "))
_WEBP_EXIF: Final = 0x08
_WEBP_FLAGS: Final = _WEBP_EXIF | 0x04  # that there is Exif, that there is XMP
_LIES: Final = 0x0112
_UPRIGHT: Final = 1
_COULD: Final = ("image/jpeg", "image/png", "image/webp")


def stripped(media: str, data: bytes) -> bytes | None:
    """Give a picture without what is written beside its pixels, the very same bytes where there is nothing.

    Returns
    -------
    bytes or None
        None for a kind of file that this can't be done with (a drawing, a page of PDF), or that is damaged.
    """
    if media not in _COULD:
        return None
    try:
        if media == "image/jpeg":
            return _jpeg(data)
        return _png(data) if media == "image/png" else _webp(data)
    except (struct.error, IndexError, ValueError):
        return None


def _jpeg(data: bytes) -> bytes:
    if data[:2] != b"\xff\xd8":
        raise ValueError("no JPEG")
    out, at, lies = bytearray(), 2, _UPRIGHT
    while True:
        if data[at] != 0xFF:
            raise ValueError("no marker")
        while data[at + 1] == 0xFF:  # fill bytes may stand before a marker
            at += 1
        marker = data[at + 1]
        if marker == 0xDA:
            break
        length = struct.unpack_from(">H", data, at + 2)[0]
        if length < 2 or at + 2 + length > len(data):
            raise ValueError("cut short")
        segment, body = data[at : at + 2 + length], data[at + 4 : at + 2 + length]
        is_told = 0xE0 <= marker <= 0xEF or marker == 0xFE
        if not is_told or body.startswith(_JPEG_KEPT.get(marker, b"\xff\xff\xff")):
            if marker == 0xE0 and len(body) >= 14 and (body[12] or body[13]):
                body = body[:12] + b"\0\0"  # a thumbnail in the header may show what was cut off
                segment = b"\xff\xe0" + struct.pack(">H", len(body) + 2) + body
            out += segment
        elif marker == 0xE1 and body.startswith(b"Exif\0\0"):
            lies = _lies(body[6:])
        at += 2 + length
    note = b""
    if lies != _UPRIGHT:
        body = b"Exif\0\0" + _exif(lies)
        note = b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body
    return b"\xff\xd8" + note + bytes(out) + data[at : _scan_end(data, at)]


def _scan_end(data: bytes, at: int) -> int:
    """Give where the picture ends: behind the first end marker after the scans; what is hung on behind it goes."""
    while True:
        at = data.index(b"\xff", at)
        marker = data[at + 1]
        if marker == 0xD9:
            return at + 2
        if marker == 0x00 or 0xD0 <= marker <= 0xD7 or marker == 0xFF:
            at += 1 if marker == 0xFF else 2
            continue
        at += 2 + struct.unpack_from(">H", data, at + 2)[0]


def _png(data: bytes) -> bytes:
    if data[:8] != _PNG:
        raise ValueError("no PNG")
    out, lies, place = bytearray(_PNG), _UPRIGHT, len(_PNG)
    for name, body, whole in _chunks(data):
        if name in _PNG_KEPT:
            out += whole
        elif name == b"eXIf":
            lies = _lies(body)
        if name == b"IHDR":
            place = len(out)
        if name == b"IEND":
            if lies != _UPRIGHT:
                out[place:place] = _chunk(b"eXIf", _exif(lies))
            return bytes(out)
    raise ValueError("no end")


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes, bytes]]:
    at = 8
    while at + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, at)
        if at + 12 + length > len(data):
            raise ValueError("cut short")
        yield data[at + 4 : at + 8], data[at + 8 : at + 8 + length], data[at : at + 12 + length]
        at += 12 + length


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def _webp(data: bytes) -> bytes:
    if data[:4] != b"RIFF" or data[8:12] != b"WEBP":
        raise ValueError("no WebP")
    end = min(len(data), 8 + struct.unpack_from("<I", data, 4)[0])
    out, at, lies = bytearray(), 12, _UPRIGHT
    while at + 8 <= end:
        name, length = data[at : at + 4], struct.unpack_from("<I", data, at + 4)[0]
        if at + 8 + length > end:
            raise ValueError("cut short")
        body, whole = data[at + 8 : at + 8 + length], data[at : at + 8 + length + (length & 1)]
        if name == b"EXIF":
            lies = _lies(body.removeprefix(b"Exif\0\0"))
        if name not in _WEBP_TOLD:
            out += whole
        at += 8 + length + (length & 1)
    flags = out[8] & ~_WEBP_FLAGS if out[:4] == b"VP8X" else None
    if lies != _UPRIGHT and flags is not None:
        flags |= _WEBP_EXIF
        note = _exif(lies)
        out += b"EXIF" + struct.pack("<I", len(note)) + note
    if flags is not None:
        out[8] = flags
    return b"RIFF" + struct.pack("<I", len(out) + 4) + b"WEBP" + bytes(out)


def _lies(exif: bytes) -> int:
    """Give how a picture lies by its Exif data, upright where that doesn't say."""
    try:
        order = {b"II": "<", b"MM": ">"}[exif[:2]]
        (first,) = struct.unpack_from(f"{order}I", exif, 4)
        (count,) = struct.unpack_from(f"{order}H", exif, first)
        for n in range(min(count, 200)):
            tag, _, _, value = struct.unpack_from(f"{order}HHIH", exif, first + 2 + 12 * n)
            if tag == _LIES:
                return int(value) if 1 <= value <= 8 else _UPRIGHT
    except (KeyError, struct.error):
        pass
    return _UPRIGHT


def _exif(lies: int) -> bytes:
    return b"MM\0*" + struct.pack(">IHHHIHHI", 8, 1, _LIES, 3, 1, lies, 0, 0)
