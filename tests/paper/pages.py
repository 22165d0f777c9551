"""Reading a document back: its words, whether letters lie over each other or out of the page, title, tags, fonts."""

import io
import typing
import unicodedata

import pypdf
import pypdfium2 as pdfium
from pypdf.generic import DictionaryObject

from tests.paper.letters_over import outside, over

A4 = {595, 842}  # points (ISO 216)
MARGIN = 20.0


def words(data: bytes) -> str:
    """The words of a PDF in one line, without the places where long ones may be broken."""
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    return " ".join(text.replace("\u200b", "").split())


def squeezed(text: str) -> str:
    """A text without any white space: long words are broken anywhere when they are set."""
    return "".join(text.replace("\u200b", "").split())


def each_page(data: bytes) -> list[str]:
    """The words of each page, by another reader."""
    document = pdfium.PdfDocument(data)
    try:
        return [
            " ".join(page.get_textpage().get_text_range().replace("\u200b", "").replace("\ufffe", "").split())
            for page in document
        ]
    finally:
        document.close()


def is_well_set(data: bytes) -> None:
    """A4, no letter over another but an accent, none out of the page."""
    document = pdfium.PdfDocument(data)
    try:
        for number, page in enumerate(document, 1):
            assert {round(side) for side in page.get_size()} == A4
            pairs = [p for p in over(page) if not any(unicodedata.combining(each.letter) for each in p)]
            assert pairs == [], number
            assert outside(page, MARGIN) == [], number
    finally:
        document.close()


def is_well_made(data: bytes, title: str) -> None:
    """Title, language, bookmarks, tags; every font inside."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    root = reader.root_object
    assert reader.metadata is not None
    assert reader.metadata.title == title
    assert root.get("/Lang") == "en-GB"
    assert held(root, "/MarkInfo").get("/Marked") == True  # noqa: E712  # a value of the PDF's own
    assert reader.outline
    for page in reader.pages:
        fonts = held(held(page, "/Resources"), "/Font")
        assert fonts
        for name in fonts:
            (inner,) = typing.cast("list[DictionaryObject]", held(fonts, name).get("/DescendantFonts"))
            descriptor = held(typing.cast(DictionaryObject, inner.get_object()), "/FontDescriptor")
            assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def held(of: DictionaryObject, name: str) -> DictionaryObject:
    """What a dictionary of a PDF has under a name."""
    found = of[name].get_object()
    assert isinstance(found, DictionaryObject)
    return found


def pictures(data: bytes) -> list[tuple[int, int]]:
    """The sizes in px of the photographs in a PDF."""
    return [
        image.image.size for page in pypdf.PdfReader(io.BytesIO(data)).pages for image in page.images if image.image
    ]
