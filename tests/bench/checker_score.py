"""Procedures of the library ready to be broken, and the score of the checker on the faults put into one of them.

Knows the operators of mutations.py and the model of machine_model.py; prints nothing.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator
from copy import copy
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from tests.bench.machine_model import account, is_fault
from tests.bench.mutations import OPERATORS, STATE

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.checks.run_checks import check_job, job_of, machine_of
from benchtrail.domain.checks.subject import Machine
from benchtrail.domain.compile_pack import compile_procedure
from benchtrail.domain.findings import Finding
from benchtrail.domain.map_text import TABLES
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.variants import variants_of
from benchtrail.services.compile_library import LibraryFile, compile_library


def oldest_only(pack: Any) -> Any:
    """The guard of the oldest machines, by which an operator keeps a step from the others."""
    return ["year", "<=", pack["model"]["years"][0]] if pack["model"] else None


ROOT = Path(__file__).resolve().parents[2]


class Clean:
    """A procedure of the library with its machine, ready to be broken."""

    def __init__(self, text: ProcedureText, machine_text: Any, machine: Machine) -> None:
        self.text, self._machine_text, self.machine = text, machine_text, machine
        self.pack = self._compile(text)
        self.known = {self._key(finding) for finding in self.check(text)}
        self.played_variants = len(job_of(self.pack, text, machine).space.variants)
        guards = [entry["when"] for table in TABLES for entry in self.pack[table].values()]
        guards += [step["when"] for step in self.pack["steps"]] + [oldest_only(self.pack)]
        self.variants = variants_of(machine.model, guards, self.pack["applies"]).variants
        self._whole = {"variants": [for_variant(self.pack, variant) for variant in self.variants]}
        self._account = account(self._whole, text.steps, self.variants)

    @property
    def name(self) -> str:
        return str(self.text.head["procedure"])

    def _compile(self, text: ProcedureText) -> Any:
        return compile_procedure(text, self._machine_text, "bench", lambda _: b"<svg xmlns='http://www.w3.org/2000/svg'/>").pack

    def check(self, text: ProcedureText) -> list[Finding]:
        return check_job(job_of(self._compile(text), text, self.machine))

    def is_fault(self, steps: list[dict[str, Any]]) -> bool:
        """True if the model of the machine tells the mutant from the clean procedure."""
        return is_fault(self._account, account(self._whole, steps, self.variants))

    def finds(self, steps: list[dict[str, Any]]) -> list[Finding]:
        """What is found in the mutant beyond the clean text."""
        notes = copy(self.text.notes)
        notes.findings = list(notes.findings)
        found = self.check(replace(self.text, steps=steps, notes=notes))
        return [f for f in found if self._key(f) not in self.known]

    @staticmethod
    def _key(finding: Finding) -> tuple[str, str | None, str]:
        return finding.code, finding.where.step, str(sorted(finding.values.items(), key=str))


@dataclass
class Score:
    """Of one procedure: by operator [found, all, no fault by the model]; what was missed; false alarms and clean steps."""

    by_operator: dict[str, list[int]] = field(default_factory=lambda: {operator: [0, 0, 0] for operator in OPERATORS})
    missed: list[str] = field(default_factory=list)
    alarms: int = 0
    steps: int = 0

    def add(self, other: Score) -> None:
        for operator, row in other.by_operator.items():
            mine = self.by_operator[operator]
            mine[:] = [one + two for one, two in zip(mine, row, strict=True)]
        self.missed += other.missed
        self.alarms += other.alarms
        self.steps += other.steps


def library(names: Collection[str] = ()) -> Iterator[Clean]:
    """Every procedure of the library, or those named."""
    folder = ROOT / "procedures"
    files = [LibraryFile(str(path.relative_to(folder)), path.read_bytes()) for path in sorted(folder.rglob("*.yaml"))]
    compiled = compile_library(files, lambda name: (folder / name).read_bytes() if (folder / name).is_file() else None)
    machines = {entry.text.head["model"]: (entry.text, machine_of(entry.text.tables, entry.text.notes, entry.text.head))
                for entry in compiled.maps}
    for entry in compiled.procedures:
        text = entry.text
        if names and text.head["procedure"] not in names:
            continue
        machine_text, machine = machines[text.model] if text.model else (None, machine_of(text.tables, text.notes, None))
        yield Clean(text, machine_text, machine)


def score_of(clean: Clean, per_operator: int, seed: int) -> Score:
    """Up to `per_operator` faults of each kind put into one procedure."""
    score = Score(alarms=len(clean.known), steps=len(clean.text.steps))
    for operator, mutants_of in OPERATORS.items():
        chance = random.Random(f"{seed} {clean.name} {operator}")
        row = score.by_operator[operator]
        mutants = list(mutants_of(clean.text.steps, clean.pack))
        chance.shuffle(mutants)
        tried = 0
        for step, mutant in mutants:
            if tried == per_operator:
                break
            if operator in STATE and not clean.is_fault(mutant):
                row[2] += 1
                continue
            tried += 1
            found = bool(clean.finds(mutant))
            row[0] += found
            row[1] += 1
            if not found:
                score.missed.append(f"{clean.name}: {operator} at {step}")
    return score


def score_of_place(task: tuple[int, int, int]) -> Score:
    """The score of the procedure at a place in the library; the library is read once in a process."""
    place, per_operator, seed = task
    cleans = score_of_place.__dict__.setdefault("cleans", list(library()))
    return score_of(cleans[place], per_operator, seed)
