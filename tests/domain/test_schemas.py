"""The schemas are sound; packs of the library and event vectors agree with them; the generated types are current."""

import json
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from benchtrail.domain.bench_state import GUARDED_TABLES
from benchtrail.domain.event_problems import BODIES
from benchtrail.services.compile_library import Library, compile_library
from benchtrail.storage.procedure_files import library_files, picture_reader
from front_build import find_node

ROOT = Path(__file__).resolve().parents[2]
SCHEMAS = {path.name: json.loads(path.read_text(encoding="utf-8"))
           for path in (ROOT / "shared" / "schemas").glob("*.json")}
VECTORS = json.loads((ROOT / "shared" / "vectors" / "event-problems.json").read_text(encoding="utf-8"))


def validator(name: str) -> Draft202012Validator:
    registry: Registry[Any] = Registry().with_resources(
        [(schema["$id"], Resource.from_contents(schema)) for schema in SCHEMAS.values()])
    return Draft202012Validator(SCHEMAS[f"{name}.schema.json"], registry=registry)


@cache
def library() -> Library:
    files = library_files([ROOT / "procedures"])
    return compile_library(files, picture_reader(files), "withen-bridge-offroad")


def faults(name: str, document: Any) -> list[str]:
    return [f"{list(error.absolute_path)}: {error.message}"[:300] for error in validator(name).iter_errors(document)]


@pytest.mark.parametrize("name", sorted(SCHEMAS))
def test_schema_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[name])
    assert SCHEMAS[name]["$id"].endswith(f"/{name}")


def test_every_pack_of_the_library_fits_its_schema() -> None:
    packs = [entry.compiled.pack for entry in library().procedures if entry.compiled]
    assert len(packs) >= 5
    assert [(pack["procedure"], fault) for pack in packs for fault in faults("procedure-pack", pack)] == []


def test_every_map_of_the_library_fits_its_schema() -> None:
    maps = [entry.pack for entry in library().maps]
    assert maps
    assert [faults("model-pack", pack) for pack in maps] == [[] for _ in maps]


def test_the_fixture_fits_the_schema_and_a_spoiled_one_does_not() -> None:
    pack = json.loads((ROOT / "shared" / "vectors" / "fixtures" / "bench-pack.json").read_text(encoding="utf-8"))
    assert faults("procedure-pack", pack) == []
    pack["joints"]["cover_screws"]["kind"] = "welded"
    pack["steps"][0]["do"][0]["verb"] = "polish"
    assert len(faults("procedure-pack", pack)) == 2


def test_the_schema_names_every_table_and_every_kind_of_event() -> None:
    assert set(GUARDED_TABLES) <= set(SCHEMAS["procedure-pack.schema.json"]["properties"])
    kinds = {branch["if"]["properties"]["kind"]["const"] for branch in SCHEMAS["event.schema.json"]["allOf"]}
    assert kinds == set(BODIES)


@pytest.mark.parametrize("case", VECTORS, ids=[case["description"] for case in VECTORS])
def test_schema_and_hand_written_checks_agree_on_events(case: dict[str, Any]) -> None:
    envelope, problems = case["input"]["envelope"], case["expect"]
    found = faults("event", envelope)
    if not problems:
        assert found == []
    elif not _beyond_schema(problems):
        assert found


def _beyond_schema(problems: list[dict[str, str]]) -> bool:
    """A clock that names another device, a day that no calendar has, and depth: the schema does not say these."""
    places = {(problem["code"], problem["at"]) for problem in problems}
    return places <= {("event_too_deep", ""), ("event_field_wrong", "hlc"), ("event_field_wrong", "wall")}


def test_a_manifest_payload_fits_its_schema() -> None:
    entry = {
        "sha256": "ab" * 32, "bytes": 10, "kind": "procedure", "id": "renew-seal", "title": "Renew the seal",
        "summary": "", "revision": 1, "issued": "2026-11-02", "model": None, "applies": ["year", "<=", 2023],
        "safety": ["normal"],
        "signature": "A" * 86, "pictures": [{"sha256": "cd" * 32, "bytes": 3, "mime": "image/svg+xml"}],
    }
    payload = {"format": "benchtrail.manifest/1", "dealer": "withen-bridge-offroad", "counter": 1,
               "issued_at": "2026-11-02T00:00:00Z", "packs": [entry]}
    schema = {"$ref": f"{SCHEMAS['manifest.schema.json']['$id']}#/$defs/payload"}
    inner = validator("manifest").evolve(schema=schema)
    assert list(inner.iter_errors(payload)) == []
    assert list(inner.iter_errors({**payload, "counter": 0}))
    assert list(inner.iter_errors({**payload, "packs": [{**entry, "applies": ["year", "~", 1]}]}))
    assert faults("manifest", {"payload": json.dumps(payload), "signature": "A" * 86, "kid": "k1"}) == []


def test_the_generated_types_are_those_of_the_schemas() -> None:
    node, _ = find_node()
    command = [str(node), "generate-types.mjs", "--check"]
    answer = subprocess.run(command, cwd=ROOT / "frontend", capture_output=True, encoding="utf-8", timeout=120)
    assert answer.returncode == 0, f"{answer.stdout}{answer.stderr}: run `node generate-types.mjs` in frontend/"
