"""From texts to packs: what a pack holds, what is carried over from the map, pictures."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from tests.sample_texts import JOB, JOB_PATH, MAP, MAP_PATH, SVG, add_step, changed, found_in

from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import Library, LibraryFile, compile_library
from benchtrail.storage.procedure_files import library_files, picture_reader

ROOT = Path(__file__).resolve().parents[2]
SCHEMAS = ROOT / "shared" / "schemas"


def validator(name: str) -> Draft202012Validator:
    schemas = {path.name: json.loads(path.read_text(encoding="utf-8")) for path in SCHEMAS.glob("*.json")}
    resources = [(key, Resource.from_contents(schema)) for key, schema in schemas.items()]
    registry: Registry[Any] = Registry().with_resources(resources)
    return Draft202012Validator(
        schemas[f"{name}.schema.json"],
        registry=registry.with_resources((schema["$id"], Resource.from_contents(schema)) for schema in schemas.values()),
    )


def the_library() -> Library:
    files = library_files([ROOT / "procedures"])
    return compile_library(files, picture_reader(files), "withen-bridge-offroad")


def compiled(map_text: str = MAP, job_text: str = JOB, pictures: Callable[[str], bytes | None] | None = None) -> Library:
    files = [LibraryFile(MAP_PATH, map_text.encode()), LibraryFile(JOB_PATH, job_text.encode())]
    return compile_library(files, pictures or (lambda path: None))


def job_pack(library: Library) -> Any:
    entry = library.procedures[0].compiled
    assert entry is not None
    return entry.pack


def test_every_pack_of_the_library_follows_its_schema() -> None:
    library = the_library()
    packs = [("model-pack", entry.pack) for entry in library.maps]
    packs += [("procedure-pack", entry.compiled.pack) for entry in library.procedures if entry.compiled]
    assert len(packs) == len(list((ROOT / "procedures").rglob("*.yaml")))
    for name, pack in packs:
        plain = json.loads(rfc8785.dumps(pack))
        assert [error.message for error in validator(name).iter_errors(plain)] == []


def test_the_library_has_no_findings() -> None:
    files = library_files([ROOT / "procedures"])
    assert check_library(files, picture_reader(files)).findings == []


def test_a_step_is_compiled_with_its_defaults() -> None:
    steps = {step["id"]: step for step in job_pack(compiled())["steps"]}
    assert steps["fill"]["do"] == [{"verb": "fill", "object": "oil", "amount_ml": 900}]
    assert steps["bar-off"]["when"] == ["option", "guard_bar"]
    assert steps["stage-1"]["do"] == [{"verb": "tighten", "object": "cover_screws", "stage": 1}]
    assert [steps[key]["section"] for key in ("tray-on", "cover-off", "flatness", "stage-2")] == [
        "Strip",
        "Strip",
        "Inspect",
        "Rebuild",
    ]
    assert (steps["stage-2"]["figure"], steps["bar-off"]["figure"]) == ("cover_torque", None)
    assert steps["flatness"]["limits"] == {
        "check": "flatness",
        "kind": "length",
        "unit": "mm",
        "low": None,
        "high": "flatness_limit",
        "pass": "Go on.",
        "fail": "Renew the cover.",
        "fail_needs": "renew",
    }


def test_figures_are_records_with_canonical_numbers() -> None:
    machine = changed(MAP, ('"10 N·m", tolerance: "± 1 N·m"', '"88 lbf·in", tolerance: "± 9 lbf·in"'))
    figure = job_pack(compiled(machine))["figures"]["cover_torque"]
    assert figure["as_published"] == "88 lbf·in"
    # 1 lbf·in = 0.112984829 N·m (NIST SP 811, appendix B.8)
    assert figure["value"] == pytest.approx(88 * 0.112984829, rel=1e-8)
    assert figure["low"] == pytest.approx(79 * 0.112984829, rel=1e-8)
    assert figure["unit"] == "N·m"


def test_only_what_the_steps_reach_is_carried_over() -> None:
    pack = job_pack(compiled())
    assert set(pack["parts"]) == {"case", "cover", "cover_gasket", "bar", "drain_washer", "filler_oring"}
    assert set(pack["joints"]) == {"bar_bolts", "cover_screws", "drain_plug", "filler_plug"}
    assert set(pack["follow_ons"]) == {"after_oil", "after_gasket"}
    assert set(pack["tools"]) == {"hand", "socket_8", "socket_12", "socket_17", "straight_edge", "wrench", "gloves"}
    assert set(pack["cautions"]) == {"used_oil", "exhaust"}


def test_what_holds_a_part_that_comes_off_is_carried_over() -> None:
    job = add_step(JOB, "bar-off", "hose-off\n    do: remove hose\n    say: Pull the hose off.\n")
    assert "hose_clip" in job_pack(compiled(job_text=job))["joints"]


def test_an_inline_caution_gets_an_id_of_its_step() -> None:
    text = changed(
        JOB,
        (
            "    say: Read the oil level.\n",
            "    say: Read the oil level.\n    caution: [used_oil, {signal: NOTICE, hazard: Drops., consequence: Leak, avoidance: Wipe}]\n",
        ),
    )
    pack = job_pack(compiled(job_text=text))
    step = next(step for step in pack["steps"] if step["id"] == "level")
    assert step["cautions"] == ["used_oil", "level-caution-1"]
    assert pack["cautions"]["level-caution-1"]["hazard"] == "Drops."


def test_the_lines_of_steps_and_actions_are_known() -> None:
    notes = compiled().procedures[0].text.notes
    lines = JOB.splitlines()
    assert lines[notes.lines["steps.drain"] - 1].strip() == "- id: drain"
    assert lines[notes.lines["steps.drain.say"] - 1].strip().startswith("say: Undo the drain plug.")
    assert notes.lines["steps.drain.do.1"] == notes.lines["steps.drain.do"]


PICTURED = changed(
    JOB, ("    say: Look along the gasket.\n", "    say: Look along the gasket.\n    picture: pictures/gasket.svg\n")
)


def test_a_picture_is_named_by_its_hash_and_described() -> None:
    asked: list[str] = []

    def read(path: str) -> bytes | None:
        asked.append(path)
        return SVG

    library = compiled(job_text=PICTURED, pictures=read)
    picture = job_pack(library)["pictures"]["pictures/gasket.svg"]
    assert asked == ["lib/test-model/pictures/gasket.svg"]
    assert (picture["mime"], picture["bytes"], picture["alt"]) == ("image/svg+xml", len(SVG), "Look along the gasket.")
    assert library.pictures == {picture["sha256"]: SVG}


def test_one_picture_with_two_descriptions_has_two_keys() -> None:
    text = changed(
        PICTURED,
        (
            "    say: Read the oil level.\n",
            "    say: Read the oil level.\n    picture: {file: pictures/gasket.svg, alt: The glass.}\n",
        ),
    )
    pack = job_pack(compiled(job_text=text, pictures=lambda path: SVG))
    assert {key: entry["alt"] for key, entry in pack["pictures"].items()} == {
        "pictures/gasket.svg": "The glass.",
        "pictures/gasket.svg#2": "Look along the gasket.",
    }


@pytest.mark.parametrize(
    ("file", "content", "code"),
    [
        ("pictures/gasket.svg", None, "picture_not_found"),
        ("../gasket.svg", SVG, "picture_path_refused"),
        ("/etc/passwd", SVG, "picture_path_refused"),
        ("pictures/gasket.svg", b"%PDF-1.7", "picture_unknown_kind"),
        ("pictures/gasket.svg", b"x" * (2 * 1024 * 1024 + 1), "picture_too_large"),
        ("pictures/gasket.svg", SVG.replace(b"<path", b"<script/><path"), "svg_refused"),
        ("pictures/gasket.svg", b"<svg", "svg_unreadable"),
    ],
)
def test_a_picture_that_cannot_be_shown_is_found(file: str, content: bytes | None, code: str) -> None:
    text = PICTURED.replace("pictures/gasket.svg", file)
    (finding,) = found_in(job_text=text, pictures=lambda path: content)
    assert (finding.code, finding.where.step, finding.severity.name) == (code, "leaks", "ERROR")
    assert text.splitlines()[finding.where.line - 1].strip().startswith("picture:")
