"""What is checked: a machine's objects, or a procedure over them, with lines, names and variants at hand.

Knows how findings of several variants become one; knows no check.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from benchtrail.domain.bench_state import for_variant
from benchtrail.domain.findings import Finding, Severity, Where
from benchtrail.domain.guards import Guard, guard_holds
from benchtrail.domain.map_text import FRAME, ONE_NAME_SPACE, TABLES
from benchtrail.domain.pack import ProcedurePack
from benchtrail.domain.procedure_text import ProcedureText
from benchtrail.domain.source_notes import Notes
from benchtrail.domain.variants import VariantSpace, describe_variants

Objects = Mapping[str, Mapping[str, Any]]


class Gathered:
    """Findings of a check. What is found alike in several variants is one finding that says in which."""

    def __init__(self, notes: Notes, space: VariantSpace) -> None:
        self.notes, self.space = notes, space
        self._found: dict[Any, tuple[Finding, set[int] | None]] = {}

    def add(self, check: str, severity: Severity, code: str, where: Where, variant: int | None = None,
            **values: object) -> None:
        """Adds a finding; `variant` is an index into the space, None when it concerns all."""
        key = (check, code, where, tuple(sorted((name, str(value)) for name, value in values.items())))
        finding, variants = self._found.get(key, (Finding(code, severity, where, check, values), set()))
        if variants is not None:
            variants = None if variant is None else variants | {variant}
        self._found[key] = finding, variants

    def findings(self) -> list[Finding]:
        """The findings in the order in which they were first found."""
        return [Finding(found.code, found.severity, found.where, found.check, found.values,
                        None if variants is None else describe_variants(self.space, variants))
                for found, variants in self._found.values()]


@dataclass(frozen=True)
class Machine:
    """A machine's objects, with guards that can be used; `guards` are all as written, by path. `model` None for objects
    that a procedure declares itself."""

    tables: Objects
    notes: Notes
    model: Mapping[str, Any] | None
    space: VariantSpace
    guards: Mapping[str, Guard]

    def gather(self) -> Gathered:
        return Gathered(self.notes, self.space)

    def entries(self) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
        """(table, id, object) of everything."""
        for table in TABLES:
            for key, entry in self.tables[table].items():
                yield table, key, entry

    def where(self, table: str, key: str, *fields: str) -> Where:
        """The line of an object's field, else of the object."""
        path = f"{table}.{key}"
        return self.notes.where(*(f"{path}.{name}" for name in fields), path)

    def is_broken(self, table: str, key: str) -> bool:
        """True if something of the object could not be read: what follows from that is no second finding."""
        return f"{table}.{key}" in self.notes.broken

    def name(self, key: str) -> str:
        """The name of an object with its id, for a message."""
        return name_of(self.tables, key)

    @cached_property
    def variants(self) -> list[dict[str, Any]]:
        """The tables in each variant, in the order of the space."""
        return [for_variant(self.tables, variant) for variant in self.space.variants]

    def fitted_in(self, guard: Guard) -> set[int]:
        """The variants in which a guard holds."""
        return {n for n, variant in enumerate(self.space.variants) if guard_holds(guard, variant)}


@dataclass(frozen=True)
class Job:
    """A procedure over its machine; `places` are those of steps that were asked for."""

    pack: ProcedurePack
    text: ProcedureText
    machine: Machine
    space: VariantSpace
    packs: list[dict[str, Any]] = field(default_factory=list)
    places: dict[tuple[str, ...], Where] = field(default_factory=dict)

    def gather(self) -> Gathered:
        return Gathered(self.text.notes, self.space)

    def where(self, step: str, *fields: str) -> Where:
        """The line of a step's field, else of the step."""
        asked = (step, *fields)
        if asked not in self.places:
            path = f"steps.{step}"
            self.places[asked] = self.text.notes.where(*(f"{path}.{name}" for name in fields), path, step=step)
        return self.places[asked]

    def is_unread(self, step: str, field: str) -> bool:
        """True if something of a step's field could not be read: what follows from that is no second finding."""
        return f"steps.{step}.{field}" in self.text.notes.broken

    def fitted_in(self, guard: Guard) -> list[int]:
        """The variants in which a guard holds."""
        return [n for n, variant in enumerate(self.space.variants) if guard_holds(guard, variant)]

    def head(self, key: str) -> Where:
        """The line of a key of the head."""
        return self.text.notes.where(f"procedure.{key}")


def name_of(tables: Mapping[str, Any], key: str) -> str:
    """“name” (id) of an object of the one name space, of a tool, supply or figure; the id alone when there is none."""
    if key == FRAME:
        return "the frame"
    for table in (*ONE_NAME_SPACE, "tools", "supplies"):
        if key in tables[table]:
            name = tables[table][key]["name"]
            return f"“{name}” ({key})" if name else key
    return key
