"""Checks a dealer's library: reads, compiles, runs every check; the same for command line, desk and publishing.

Knows which checks a file gets and that one fault gives one finding; the checks themselves are in domain/checks.
"""

from collections.abc import Iterable, Sequence

from benchtrail.domain.accepted import with_reasons
from benchtrail.domain.checks.machine_recipes import check_figures_agree
from benchtrail.domain.checks.machine_services import check_services
from benchtrail.domain.checks.run_checks import check_job, check_machine, job_of, machine_of
from benchtrail.domain.checks.subject import Machine
from benchtrail.domain.compile_pack import ReadPicture
from benchtrail.domain.findings import Finding, Severity, worst_first
from benchtrail.domain.refused import Refused
from benchtrail.domain.source_notes import Notes
from benchtrail.services.compile_library import (
    UNPUBLISHED,
    Library,
    LibraryFile,
    MapEntry,
    ProcedureEntry,
    compile_library,
)


def check_library(files: Iterable[LibraryFile], read_picture: ReadPicture, dealer: str = UNPUBLISHED,
                  known: Sequence[MapEntry] = ()) -> Library:
    """The library of the files with everything found in those asked for, worst first; `known`: maps read before."""
    library = compile_library(files, read_picture, dealer, known)
    machines: dict[str, Machine] = {}
    for entry in library.maps:
        _check_map(library, machines, entry)
    for procedure in library.procedures:
        if procedure.asked:
            found = _procedure_findings(procedure, machines)
            library.findings.extend(with_reasons(found, procedure.text.head["accepted"], procedure.text.notes))
    library.findings = worst_first(library.findings)
    return library


def _check_map(library: Library, machines: dict[str, Machine], entry: MapEntry) -> None:
    """Adds the map to the machines, unless it is broken or has too many variants to play; and what its checks find."""
    text = entry.text
    if not text.whole:
        return
    try:
        machine = machine_of(text.tables, text.notes, text.head)
    except Refused as refusal:
        library.findings.extend([_too_many(text.notes, refusal, "map.options")] if entry.asked else [])
        return
    if entry.asked:
        found = [*check_machine(machine), *check_figures_agree(machine, list(machines.values())),
                 *check_services(text.head["services"], text.tables, text.notes)]
        library.findings.extend(with_reasons(found, text.head["accepted"], text.notes))
    machines.setdefault(text.head["model"], machine)


def _procedure_findings(entry: ProcedureEntry, machines: dict[str, Machine]) -> list[Finding]:
    """What the checks of one procedure find; nothing when it could not be compiled, for which there is a reason."""
    text = entry.text
    if entry.compiled is None:
        return []
    try:
        machine = machines.get(text.model) if text.model else machine_of(text.tables, text.notes, None)
        if machine is None:
            return []
        own = [] if text.model else check_machine(machine)
        return own + check_job(job_of(entry.compiled.pack, text, machine))
    except Refused as refusal:
        return [_too_many(text.notes, refusal, "procedure.applies")]


def _too_many(notes: Notes, refusal: Refused, path: str) -> Finding:
    return Finding(refusal.code, Severity.ERROR, notes.where(path), "S1", refusal.values)
