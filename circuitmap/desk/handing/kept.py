"""The homes that documents are made of, sent to their processes when they are new to them."""

from collections import OrderedDict
from typing import Final

from circuitmap.desk.handing.press import Press
from circuitmap.errors import FileError
from circuitmap.home import Home
from circuitmap.home.assets import Asset, assets_of
from circuitmap.home.document import Document
from circuitmap.home.packed import packed
from circuitmap.paper.apart import Keep

_KEPT: Final = 4  # of each process; packed, the largest take some megabytes


class Homes:
    """Packs a home once and sends it to each press once."""

    def __init__(self, presses: tuple[Press, ...]) -> None:
        self._presses = presses
        self._kept: OrderedDict[str, None] = OrderedDict()
        self._document: Document | None = None
        self._number = 0

    def key_of(self, document: Document, seq: int = 0) -> str:
        """Give the key of a document's home after an edit (0 for as it is now); it is sent if it wasn't yet.

        What it was before is read by the other process from the home's file.

        Raises
        ------
        HomeError, FileError
            When there is no such edit, or the file is damaged.
        """
        if document is not self._document:
            for key in self._kept:
                self._forget(key)
            self._kept.clear()
            self._document = document
            self._number += 1
        at = seq if 0 < seq < document.revision else document.revision
        key = f"{self._number}-{at}"
        if key not in self._kept:
            self._keep(document, key, at)
        self._kept.move_to_end(key)
        return key

    def _keep(self, document: Document, key: str, at: int) -> None:
        if document.path is None:
            home = document.at(at)
            message = Keep(key, packed(home), pictures=_pictures(document, home))
        else:
            file = str(document.path.absolute())
            is_now = at == document.revision
            message = Keep(key, packed(document.home), file) if is_now else Keep(key, file=file, seq=at)
        self._kept[key] = None
        for press in self._presses:
            press.keep(message)
        while len(self._kept) > _KEPT:
            oldest, _ = self._kept.popitem(last=False)
            self._forget(oldest)

    def _forget(self, key: str) -> None:
        for press in self._presses:
            press.forget(key)


def _pictures(document: Document, home: Home) -> dict[str, Asset]:
    """Give the pictures of a home that is only in memory."""
    found: dict[str, Asset] = {}
    for name in {name for record in home.all() for name in assets_of(record)}:
        try:
            found[name] = document.asset_with_media(name)
        except FileError:
            continue  # the document says which pictures are missing
    return found
