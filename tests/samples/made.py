"""What a maker gives: a home with its pictures, and how it is written as a text form."""

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple, Protocol

from circuitmap.home import Home
from circuitmap.home.assets import Asset
from circuitmap.home.exchange import MarkedHome, write_folder


class Made(NamedTuple):
    """A finished home, its pictures, and how it was at its marks."""

    home: Home
    assets: dict[str, Asset]
    marks: tuple[MarkedHome, ...] = ()

    def write(self, folder: Path) -> None:
        """Write the text form over the one that is there; other files in the folder stay."""
        if folder.exists() and not (folder / "home.json").exists():
            (folder / "home.json").write_bytes(b"{}")  # nothing but a README so far: from now on a text form
        write_folder(folder, self.home, self.marks, self.assets, replace=True)


class Maker(Protocol):
    """``stored`` gives the hash of the picture of each storey, so that nothing need be painted."""

    def __call__(self, stored: Mapping[str, str] | None = None) -> Made: ...
