"""Pictures and other bytes that records name by their SHA-256: kinds of file, digests, who names what."""

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Annotated, Final, get_args, get_origin, get_type_hints

from msgspec import Meta, Struct

from circuitmap.errors import HomeError
from circuitmap.home.base import HASH_PATTERN

Asset = tuple[str, bytes]
"""Media type and bytes."""
Assets = Mapping[str, Asset]
"""By SHA-256, in hexadecimal digits."""

EXTENSIONS: Mapping[str, str] = {
    "image/png": "png",
    "image/jpeg": "jpg",
    "image/webp": "webp",
    "image/gif": "gif",
    "image/bmp": "bmp",
    "image/tiff": "tif",
    "image/svg+xml": "svg",
    "image/vnd.dxf": "dxf",
    "application/pdf": "pdf",
    "application/toml": "toml",
    "text/plain": "txt",
    "application/octet-stream": "bin",
}
MEDIA: Mapping[str, str] = {extension: media for media, extension in EXTENSIONS.items()} | {
    "jpeg": "image/jpeg",
    "tiff": "image/tiff",
}
_MOST_NAMED: Final = 5
LARGEST_BYTES = 200_000_000
"""No picture of a plan is larger; a file that is was put there by mistake or in bad faith."""


def hash_of(data: bytes) -> str:
    """Give the SHA-256 of some bytes in hexadecimal digits, the name an asset goes by."""
    return hashlib.sha256(data).hexdigest()


def is_hash(text: str) -> bool:
    """Whether a text can be the name of an asset."""
    return re.match(HASH_PATTERN, text) is not None


def missing_said(places: Sequence[str]) -> str:
    """Give a sentence about pictures that are named and not at hand, by where they are named; nothing for none."""
    if not places:
        return ""
    count, shown = len(places), ", ".join(places[:_MOST_NAMED])
    more = f" and {count - _MOST_NAMED} more" if count > _MOST_NAMED else ""
    if count == 1:
        return f"A picture is missing (named by {shown}); all else is there. Bring it in again."
    return f"{count} pictures are missing (named by {shown}{more}); all else is there. Bring them in again."


def check_assets(assets: Assets) -> None:
    """Refuse assets that don't go by their own digest, are too large, or of a kind that isn't kept.

    Raises
    ------
    HomeError
        With a sentence that says which.
    """
    for name, (media, data) in assets.items():
        if media not in EXTENSIONS:
            raise HomeError(f"Files of the kind {media[:60]} can't be kept in a home; bring it in as PNG or JPEG.")
        if len(data) > LARGEST_BYTES:
            raise HomeError(f"A file of {len(data) // 1_000_000} MB is too large to keep; make it smaller first.")
        if hash_of(data) != name:
            raise HomeError("A picture arrived altered; bring it in again.")


def assets_of(value: Struct) -> Iterator[str]:
    """Give the digest of every asset that a record names, in field order."""
    for field, how in _asset_fields(type(value)):
        held = getattr(value, field)
        if held is None:
            continue
        if how == "one":
            yield held
        elif how == "many":
            yield from held
        else:
            for part in held if isinstance(held, tuple) else (held,):
                yield from assets_of(part)


@cache
def _asset_fields(kind: type[Struct]) -> tuple[tuple[str, str], ...]:
    found = []
    for name, hint in get_type_hints(kind, include_extras=True).items():
        if name not in kind.__struct_fields__:
            continue
        how = _how(hint)
        if how:
            found.append((name, how))
    return tuple(found)


def _how(hint: object) -> str:
    if get_origin(hint) is Annotated:
        metas = get_args(hint)[1:]
        return "one" if any(isinstance(meta, Meta) and meta.pattern == HASH_PATTERN for meta in metas) else ""
    if isinstance(hint, type) and issubclass(hint, Struct):
        return "parts" if _asset_fields(hint) else ""
    inner = next((how for how in map(_how, get_args(hint)) if how), "")
    return "many" if inner == "one" and get_origin(hint) is tuple else inner
