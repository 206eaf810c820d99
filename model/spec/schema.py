"""The JSON Schema of a spec."""

from __future__ import annotations

from typing import Any

from .spec_tables import SpecTables


def spec_schema() -> dict[str, Any]:
    """Return the JSON Schema of a spec, for editors."""
    schema = SpecTables.model_json_schema()
    # a name given alone stands for a head or top with its default sizes
    for table, key in (
        ("Pales", "head"),
        ("Posts", "top"),
        ("PostKind", "top"),
        ("Posts", "foot"),
        ("PostKind", "foot"),
    ):
        field = schema["$defs"][table]["properties"][key]
        choices = field.pop("oneOf", None) or field.pop("anyOf")
        field.pop("discriminator", None)
        field["anyOf"] = [*choices, {"type": "string", "enum": _shape_names(schema, choices)}]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "palewright spec",
        **{key: value for key, value in schema.items() if key != "title"},
    }


def _shape_names(schema: dict[str, Any], choices: list[dict[str, Any]]) -> list[str]:
    names = []
    for choice in choices:
        if "$ref" in choice:
            definition = schema["$defs"][choice["$ref"].rsplit("/", 1)[1]]
            names.append(definition["properties"]["shape"]["const"])
        for inner in choice.get("oneOf", []):
            names.extend(_shape_names(schema, [inner]))
    return [name for name in names if name != "free"]
