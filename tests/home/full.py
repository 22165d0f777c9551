"""Samples made from the published schema: every kind of record with every field filled in."""

import itertools
import re
from collections.abc import Callable
from typing import Any

import msgspec

from circuitmap.home import Home
from circuitmap.home.assets import Asset, assets_of, hash_of
from circuitmap.home.records import KINDS, Device, End, Place, Point, Record, Room, Run
from circuitmap.home.schema import home_schema

Schema = dict[str, Any]  # JSON Schema is plain nested data
DEFS: Schema = home_schema()["$defs"]  # type: ignore[assignment]  # as it is built
PICTURE: Asset = ("image/png", b"\x89PNG invented bytes")


def sample(schema: Schema, new_id: Callable[[str], str]) -> object:
    """Give plain data that fits a schema, with every property filled in and an id wherever one may stand."""
    if "$ref" in schema:
        return sample(DEFS[schema["$ref"].rsplit("/", 1)[1]], new_id)
    if "anyOf" in schema:
        return sample(next(arm for arm in schema["anyOf"] if arm.get("type") != "null"), new_id)
    if "enum" in schema:
        return next(word for word in reversed(schema["enum"]) if word)
    kind = schema["type"]
    if kind == "object":
        return {name: sample(inner, new_id) for name, inner in schema["properties"].items()}
    if kind == "array":
        if "prefixItems" in schema:
            return [sample(inner, new_id) for inner in schema["prefixItems"]]
        return [sample(schema["items"], new_id)]
    if kind == "boolean":
        return True
    if kind in ("integer", "number"):
        low = schema.get("minimum", schema.get("exclusiveMinimum", 0))
        return min(low + 3, schema.get("maximum", low + 3)) if kind == "integer" else min(low + 0.25, 0.4 + low)
    assert kind == "string"
    return text(schema.get("pattern"), new_id)


def text(pattern: str | None, new_id: Callable[[str], str]) -> str:
    if pattern is None:
        return "some text"
    letters = re.match(r"\^\(?\[([A-Z](?:-Z|[A-Z]*))\]\[1-9\]", pattern)
    if letters:
        return new_id(letters.group(1)[0])
    known = ("2026-01-05T09:30:00Z", "2026-01-05", hash_of(PICTURE[1]), "home", "L+N", "Q")
    return next(word for word in known if re.search(pattern, word))


def record_of(kind: type[Record], new_id: Callable[[str], str]) -> Record:
    return msgspec.convert(sample({"$ref": f"#/$defs/{kind.__name__}"}, new_id), kind)


def full_home() -> tuple[Home, dict[str, Asset]]:
    """A sound home with every kind of record, every field of which is filled in somewhere."""
    records: list[Record] = [
        msgspec.structs.replace(record_of(kind, lambda letter: f"{letter if letter != 'A' else 'P'}1"),
                                id=f"{kind.letter}1" if kind.letter else "home")
        for kind in KINDS.values()
    ]  # fmt: skip
    by_id = {record.id: record for record in records}
    change = msgspec.structs.replace
    device, point, run, room = by_id["D1"], by_id["P1"], by_id["R1"], by_id["M1"]
    assert isinstance(device, Device)
    assert isinstance(point, Point)
    assert isinstance(run, Run)
    assert isinstance(room, Room)
    by_id["D1"] = change(device, upstream=None)
    by_id["D2"] = change(device, id="D2", way="2", upstream="D1")
    by_id["P1"] = change(point, plate=None, controls=())
    by_id["P2"] = change(point, id="P2", place=None, controls=("P1",))
    by_id["P10"] = Point(id="P10", kind="socket", place=Place(storey="G1", x_mm=-5, y_mm=7))
    by_id["R1"] = change(run, b=End(at="P2", side="supply"))
    by_id["M1"] = change(room, outline_mm=((0, 0), (4000, 0), (4000, 3000), (0, 3000)))
    sheet = by_id["H1"]
    by_id["H1"] = change(sheet, px_to_plan_mm=(10.0, 0.0, 0.0, 0.0, 10.0, 0.0, 0.0, 0.0, 1.0))
    home = Home.of(by_id.values())
    assert home.problems() == []
    names = set(itertools.chain.from_iterable(assets_of(record) for record in home.all()))
    return home, dict.fromkeys(names, PICTURE)
