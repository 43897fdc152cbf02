"""The checker against the real library: no false alarm, and every step that matters is missed when it is taken out."""

import re
import time
from collections import Counter
from pathlib import Path

import pytest

from benchtrail.domain.checks.run_checks import check_job, job_of, machine_of
from benchtrail.domain.findings import Finding
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import LibraryFile, compile_library
from benchtrail.storage.procedure_files import picture_reader

PROCEDURES = Path(__file__).resolve().parents[2] / "procedures"
MAP = PROCEDURES / "hobmoor-fell-250" / "map.yaml"
# what a step does that nothing later makes good; looks, notes, waits and photos can be left out without the state knowing
LASTING = re.compile(r"\b(undo|remove|hang|drain|fill|fit|start|tighten|renew|aid on|aid off|bleed|level)\b")


def library_of(path: Path, text: str) -> list[LibraryFile]:
    machine = [] if path.parent.name == "anywhere" else [LibraryFile(MAP.as_posix(), MAP.read_bytes(), asked=False)]
    return [LibraryFile(path.as_posix(), text.encode()), *machine]


def findings_of(path: Path, text: str) -> list[Finding]:
    files = library_of(path, text)
    return check_library(files, picture_reader(files)).findings


def steps_of(text: str) -> tuple[str, list[str]]:
    """The text before the first step, and each step's own lines."""
    head, *steps = re.split(r"(?m)^(?=  - id: )", text)
    return head, steps


@pytest.mark.parametrize("name", ["hobmoor-fell-250/renew-front-brake-pads-and-fluid", "anywhere/engine-has-taken-in-water"])
def test_a_step_taken_out_is_missed(name: str) -> None:
    path = PROCEDURES / f"{name}.yaml"
    head, steps = steps_of(path.read_text(encoding="utf-8"))
    unnoticed, counts = [], Counter[int]()
    for n, step in enumerate(steps):
        do = re.search(r"do:(.*)", step)
        if do is None or not LASTING.search(do[1]):
            continue
        findings = findings_of(path, head + "".join(steps[:n] + steps[n + 1:]))
        # what only this step used is noted as unused besides: true, and another matter
        counts[len([finding for finding in findings if finding.check != "S3"])] += 1
        if not findings:
            unnoticed.append(do[1].strip())
    assert unnoticed == []
    assert sum(counts.values()) > 25
    # one cause, one finding: a step with two actions may leave two
    assert max(counts) <= 2
    assert counts[1] > 2 * counts[2]


def test_a_procedure_of_sixty_steps_is_checked_quickly() -> None:
    """Reading apart, the largest procedure (over 100 steps, 8 variants) takes some 40 ms on the machine of the first
    measurement; the limit here is loose because test machines are shared."""
    path = PROCEDURES / "hobmoor-fell-250" / "renew-water-pump-seal.yaml"
    files = library_of(path, path.read_text(encoding="utf-8"))
    library = compile_library(files, picture_reader(files))
    entry = library.procedures[0]
    assert entry.compiled is not None
    assert entry.machine is not None
    machine = machine_of(entry.machine.tables, entry.machine.notes, entry.machine.head)
    started = time.process_time()
    assert check_job(job_of(entry.compiled.pack, entry.text, machine)) == []
    assert time.process_time() - started < 0.5


def example() -> str:
    """The first procedure that procedures/README.md teaches."""
    blocks = re.findall(r"```yaml\n(.*?)```", (PROCEDURES / "README.md").read_text(encoding="utf-8"), re.DOTALL)
    return next(block for block in blocks if block.startswith("procedure: "))


@pytest.mark.parametrize(("left_out", "codes"), [
    ((), []), (("tight",), ["left_joint_not_final"]), (("tight", "put-in"), ["left_part_not_on"]),
])
def test_the_taught_example_does_what_its_text_says(left_out: tuple[str, ...], codes: list[str]) -> None:
    head, steps = steps_of(example())
    kept = [step for step in steps if not any(f"- id: {key} " in step or f"- id: {key}\n" in step for key in left_out)]
    assert len(kept) == len(steps) - len(left_out)
    path = PROCEDURES / "anywhere" / "clean-the-air-filter.yaml"
    assert [finding.code for finding in findings_of(path, head + "".join(kept))] == codes
