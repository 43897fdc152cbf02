"""How many single faults in the library's procedures the checker finds, by kind of fault, and how often it cries wolf.

Breaks every clean procedure in every way of mutations.py, a sample of each kind with the seed given, and checks each
mutant in every variant. A mutant counts as found when there is a finding that the clean procedure does not have; every
finding in a clean procedure counts as a false alarm.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from copy import copy
from dataclasses import replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "backend"), str(ROOT)]

from tests.bench.mutations import OPERATORS  # noqa: E402

from benchtrail.domain.checks.run_checks import check_job, job_of, machine_of  # noqa: E402
from benchtrail.domain.checks.subject import Machine  # noqa: E402
from benchtrail.domain.compile_pack import compile_procedure  # noqa: E402
from benchtrail.domain.findings import Finding  # noqa: E402
from benchtrail.domain.procedure_text import ProcedureText  # noqa: E402
from benchtrail.services.compile_library import LibraryFile, compile_library  # noqa: E402


class Clean:
    """A procedure of the library with its machine, ready to be broken."""

    def __init__(self, text: ProcedureText, machine_text: Any, machine: Machine) -> None:
        self.text, self._machine_text, self.machine = text, machine_text, machine
        self.pack = self._compile(text)
        self.known = {self._key(finding) for finding in self.check(text)}

    def _compile(self, text: ProcedureText) -> Any:
        return compile_procedure(text, self._machine_text, "bench", lambda _: b"<svg xmlns='http://www.w3.org/2000/svg'/>").pack

    def check(self, text: ProcedureText) -> list[Finding]:
        return check_job(job_of(self._compile(text), text, self.machine))

    def finds(self, steps: list[dict[str, Any]]) -> list[Finding]:
        """What is found in the mutant beyond the clean text."""
        notes = copy(self.text.notes)
        notes.findings = list(notes.findings)
        found = self.check(replace(self.text, steps=steps, notes=notes))
        return [f for f in found if self._key(f) not in self.known]

    @staticmethod
    def _key(finding: Finding) -> tuple[str, str | None, str]:
        return finding.code, finding.where.step, str(sorted(finding.values.items(), key=str))


def library() -> Iterator[Clean]:
    """Every procedure of the library."""
    folder = ROOT / "procedures"
    files = [LibraryFile(str(path.relative_to(folder)), path.read_bytes()) for path in sorted(folder.rglob("*.yaml"))]
    compiled = compile_library(files, lambda name: (folder / name).read_bytes() if (folder / name).is_file() else None)
    machines = {entry.text.head["model"]: (entry.text, machine_of(entry.text.tables, entry.text.notes, entry.text.head))
                for entry in compiled.maps}
    for entry in compiled.procedures:
        text = entry.text
        machine_text, machine = machines[text.model] if text.model else (None, machine_of(text.tables, text.notes, None))
        yield Clean(text, machine_text, machine)


def main(argv: list[str]) -> int:
    options = argparse.ArgumentParser(prog="checker")
    options.add_argument("--per-operator", type=int, default=12, help="mutants of each kind in each procedure")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--missed", action="store_true", help="name every mutant that was not found")
    asked = options.parse_args(argv)
    chance = random.Random(asked.seed)
    score: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    missed: list[str] = []
    alarms = steps = 0
    started = time.perf_counter()
    for clean in library():
        alarms += len(clean.known)
        steps += len(clean.text.steps)
        name = clean.text.head["procedure"]
        for operator, mutants_of in OPERATORS.items():
            mutants = list(mutants_of(clean.text.steps, clean.pack))
            for step, mutant in chance.sample(mutants, min(asked.per_operator, len(mutants))):
                found = bool(clean.finds(mutant))
                score[operator][0] += found
                score[operator][1] += 1
                if not found:
                    missed.append(f"{name}: {operator} at {step}")
    for operator, (found_count, all_count) in score.items():
        print(f"{operator:20} {found_count:5} of {all_count:5}  {100 * found_count / all_count:5.1f} %")
    if asked.missed:
        print("\n".join(missed))
    found_all, all_all = (sum(row[n] for row in score.values()) for n in (0, 1))
    false_per_200 = 200 * alarms / steps
    print(f"{all_all} mutants in {time.perf_counter() - started:.0f} s")
    print(f"RESULT checker detected={found_all / all_all:.4f} mutants={all_all} false_per_200={false_per_200:.2f} seed={asked.seed}")
    return 0
