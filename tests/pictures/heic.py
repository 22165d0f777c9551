"""A small HEIC picture, kept here because the library in use reads HEIC and can't write it.

96 × 64 px in four colours (red and green above, blue and white below), our own drawing.
"""

import base64
import struct

PLAIN = base64.b64decode(
    """
AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAVZtZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAAAAAAAAAAAAAA
ACJpbG9jAAAAAERAAAEAAQAAAAABegABAAAAAAAAAOoAAAAjaWluZgAAAAAAAQAAABVpbmZlAgAAAAABAABodmMxAAAAAA5waXRt
AAAAAAABAAAA1mlwcnAAAAC3aXBjbwAAAHhodmNDAQNwAAAAkAAAAAAAHvAA/P34+AAADwNgAAEAGEABDAH//wNwAAADAJAAAAMA
AAMAHroCQGEAAQArQgEBA3AAAAMAkAAAAwAAAwAeoDCBBZbqSSmubgIaDAgAAAMAyAAAAwAIQGIAAQAHRAHBcrAiQAAAABNjb2xy
bmNseAABAA0ABoAAAAAUaXNwZQAAAAAAAABgAAAAQAAAABBwaXhpAAAAAAMICAgAAAAXaXBtYQAAAAAAAAABAAEEgQIDBAAAAPJt
ZGF0AAAA5igBrwY44+e/P03+Z3v///K9d6H+9gcLvlabr9NFX/+/kj//yJF2Y4U7pHzEyXkehTzmGusWNlxwzbrToAgLPf0gsRJB
gcTX4smMnA56A3yusdiX4P0GWjNJu+aC5gNgaorh88ZKB4uq0fHrri75uulxFP+X2jRv6ZYb//x9gapYM/OFVSuA5qmlhuGCZDTI
tlTk0hH51aUIE8HtypsJw9S4UrbNMhe++M4y6CjpPQqqpHR/2n+f/Q/M/+Qp///IERY63Zv//7ZTR/cnqHD/kI43T72HCmuCUGWi
51QgIvS6lNZ/hI5c
    """
)


def turned_by_box(quarter_turns):
    """Give the picture with an image rotation box: so many quarter turns anticlockwise when shown.

    Source: ISO/IEC 23008-12 (HEIF), ImageRotation box "irot": 8 bits, the lower two are the angle in units of 90°
    anticlockwise (from memory).
    """
    box = struct.pack(">I4sB", 9, b"irot", quarter_turns)
    data = bytearray(PLAIN)
    ipma = data.index(b"ipma") - 4
    data[ipma:ipma] = box
    for name, more in ((b"ipco", 9), (b"ipma", 1), (b"iprp", 10), (b"meta", 10)):
        at = data.index(name) - 4
        data[at : at + 4] = struct.pack(">I", struct.unpack(">I", data[at : at + 4])[0] + more)
    ipma = data.index(b"ipma") - 4
    count = ipma + 18  # box head 8, version and flags 4, entries 4, item 2, then the count of its properties
    data[count] += 1
    data.insert(count + data[count], 0x80 | 5)  # essential; the fifth property
    place = struct.pack(">I", PLAIN.index(b"mdat") + 4)
    at = data.index(b"iloc")
    at = data.index(place, at)
    data[at : at + 4] = struct.pack(">I", data.index(b"mdat") + 4)
    return bytes(data)
