"""The published JSON Schema of ``home.json``, generated from the records so that the two can't drift apart.

``python -m circuitmap.home.schema`` prints it; a test holds the copy under ``resources`` against it.
"""

import inspect
import json
import sys

import msgspec

from circuitmap.home.records import BY_LETTER, KINDS
from circuitmap.home.upgrade import FORMAT

_AT = r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z$"


def home_schema() -> dict[str, object]:
    """Give the JSON Schema (draft 2020-12) of the text of a home or of one of its marks."""
    _, components = msgspec.json.schema_components(KINDS.values(), ref_template="#/$defs/{name}")
    for component in components.values():
        if isinstance(component.get("description"), str):
            # Whether a docstring keeps the indentation of its lines differs between versions of the library.
            component["description"] = inspect.cleandoc(component["description"])
    rows: dict[str, object] = {
        name: {"type": "array", "items": {"$ref": f"#/$defs/{kind.__name__}"}} for name, kind in KINDS.items()
    }
    rows["details"] = {**rows["details"], "maxItems": 1}  # type: ignore[dict-item]  # written as a dict just above
    letters = "".join(sorted(BY_LETTER))
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A home as circuitmap writes it: home.json, or a mark of it",
        "type": "object",
        "required": ["circuitmap"],
        "additionalProperties": False,
        "properties": {
            "circuitmap": {"type": "integer", "minimum": 1, "maximum": FORMAT},
            "mark": {
                "type": "object",
                "required": ["name", "at"],
                "additionalProperties": False,
                "properties": {
                    "name": {"type": "string", "minLength": 1, "maxLength": 200},
                    "at": {"type": "string", "pattern": _AT},
                },
            },
            "next": {
                "type": "object",
                "patternProperties": {f"^[{letters}]$": {"type": "integer", "minimum": 1}},
                "additionalProperties": False,
            },
            **rows,
        },
        "$defs": components,
    }


def schema_text() -> str:
    """Give the schema as it is published."""
    return json.dumps(home_schema(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(schema_text())
