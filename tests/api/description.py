"""Reads the server's own OpenAPI description: every operation with its parameters, and bodies and parameters made from it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Flask

Json = dict[str, Any]


@dataclass(frozen=True)
class Operation:
    """One method at one address of the description."""

    method: str
    path: str
    body: Json | None
    parameters: tuple[str, ...]

    def address(self, values: dict[str, str]) -> str:
        return re.sub(r"\{(\w+)\}", lambda found: values[found[1]], self.path)


def description_of(app: Flask) -> Json:
    answer = app.test_client().get("/api/openapi.json")
    assert answer.status_code == 200
    return dict(answer.get_json())


def operations(description: Json) -> list[Operation]:
    return sorted(_operations(description), key=lambda one: (one.path, one.method))


def _operations(description: Json) -> Iterator[Operation]:
    for path, item in description["paths"].items():
        for method, words in item.items():
            if method in ("get", "post", "put", "patch", "delete", "head"):
                content = words.get("requestBody", {}).get("content", {})
                body = content.get("application/json", {}).get("schema")
                yield Operation(method.upper(), path, body, tuple(re.findall(r"\{(\w+)\}", path)))


def example(schema: Json, description: Json, ids: dict[str, str]) -> Any:
    """A body that the schema takes, with the given ids wherever a field bears the name of one."""
    if "$ref" in schema:
        return example(description["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]], description, ids)
    for choice in ("anyOf", "oneOf", "allOf"):
        if choice in schema:
            return example(schema[choice][0], description, ids)
    kind = schema.get("type")
    kind = kind[0] if isinstance(kind, list) else kind
    if "enum" in schema:
        return schema["enum"][0]
    if kind == "object" or "properties" in schema:
        return {name: ids[name] if name in ids else example(inner, description, ids)
                for name, inner in schema.get("properties", {}).items()}
    if kind == "array":
        return [example(schema.get("items", {}), description, ids)][: schema.get("maxItems", 1)]
    if "[0-9a-f]{64}" in schema.get("pattern", ""):
        return "f" * 64
    made: dict[str | None, Any] = {"integer": max(1, int(schema.get("minimum", 1))), "number": 1.0, "boolean": True}
    return made.get(kind, "x" * max(1, schema.get("minLength", 1)))
