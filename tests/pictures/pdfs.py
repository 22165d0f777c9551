"""PDF files written by hand: pages of drawing operators, one font, layers, a picture, a lock."""

import zlib

A3 = (1190.55, 841.89)


def written(objects, *, root=1, more=b""):
    """Put numbered objects together into a PDF file, with its table of places."""
    out = bytearray(b"%PDF-1.6\n%\xe2\xe3\xcf\xd3\n")
    places = []
    for n, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n" % n + body + b"\nendobj\n"
    start = len(out)
    out += b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1)
    out += b"".join(b"%010d 00000 n \n" % place for place in places)
    out += b"trailer\n<< /Size %d /Root %d 0 R %b >>\nstartxref\n%d\n%%%%EOF\n" % (len(objects) + 1, root, more, start)
    return bytes(out)


def stream(body, head=b""):
    packed = zlib.compress(body)
    return b"<< /Length %d /Filter /FlateDecode %b >>\nstream\n%b\nendstream" % (len(packed), head, packed)


def pdf(*pages, size=A3, turn=0, layers=(), more_resources=b"", more_objects=(), trailer=b"", box=None):
    """Write pages (each the bytes of its operators); ``layers`` are named /L0, /L1 … in /OC marks."""
    first = 4
    layer_at = first + 2 * len(pages)
    more_at = layer_at + len(layers)
    kids = b" ".join(b"%d 0 R" % (first + 2 * n) for n in range(len(pages)))
    groups = b" ".join(b"%d 0 R" % (layer_at + n) for n in range(len(layers)))
    marks = b" ".join(b"/L%d %d 0 R" % (n, layer_at + n) for n in range(len(layers)))
    left, bottom, right, top = box or (0, 0, *size)
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R %b >>"
        % (b"/OCProperties << /OCGs [%b] /D << /Order [%b] >> >>" % (groups, groups) if layers else b""),
        b"<< /Type /Pages /Count %d /Kids [%b] >>" % (len(pages), kids),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
    ]
    if b"%d" in more_resources:
        more_resources %= more_at
    for n, operators in enumerate(pages):
        objects.append(
            b"<< /Type /Page /Parent 2 0 R /MediaBox [%f %f %f %f] /Rotate %d /Contents %d 0 R "
            b"/Resources << /Font << /F1 3 0 R >> /Properties << %b >> %b >> >>"
            % (left, bottom, right, top, turn, first + 2 * n + 1, marks, more_resources)
        )
        objects.append(stream(operators))
    objects += [b"<< /Type /OCG /Name (%b) >>" % name.encode() for name in layers]
    objects += list(more_objects)
    return written(objects, more=trailer)


def locked():
    """A PDF with a password: nobody knows which, since its check value is made up."""
    more = b"/Encrypt << /Filter /Standard /V 1 /R 2 /P -4 /O <%b> /U <%b> >> /ID [<00><00>]" % (b"ab" * 32, b"cd" * 32)
    return pdf(b"0 0 m 100 100 l S", trailer=more)


def scanned():
    """A page that is one picture, as a scanner writes it: grey, dark on its left half."""
    pixels = bytes([40] * 32 + [250] * 32) * 64
    picture = stream(
        pixels, b"/Type /XObject /Subtype /Image /Width 64 /Height 64 /ColorSpace /DeviceGray /BitsPerComponent 8"
    )
    return pdf(b"q 1190 0 0 841 0 0 cm /I0 Do Q", more_resources=b"/XObject << /I0 %d 0 R >>", more_objects=[picture])
