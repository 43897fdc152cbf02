"""The register of customers' machines: what the jobs told of each, what the desk wrote down, and what falls due when.

Knows machines, jobs and the services of the maps in force; the intervals are the domain's.
"""

import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from benchtrail.domain.guards import guard_holds
from benchtrail.domain.intervals import service_due
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_records import CustomerMachine
from benchtrail.services.job_list import KeptRows, job_list
from benchtrail.services.jobs import Shelf
from benchtrail.services.manifests import current_packs
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.records import JsonObject, PublishedPack

MOST_HOURS = 1_000_000
ORDER = ("overdue", "due_soon", "unknown", "ok", "done")


@dataclass(frozen=True)
class Register:
    """One machine as the desk shows it; `due` and `jobs` newest or most pressing first."""

    id: str
    name: str
    customer: str
    model: str | None
    year: int | None
    options: list[str]
    serial: str | None
    hours: float | None
    hours_on: str | None
    words: str
    due: list[JsonObject]
    jobs: list[JsonObject]


def machines_of(ports: Ports, kept: KeptRows, dealer: str) -> list[Register]:
    """Every machine that a job named or the desk wrote down, what is overdue first."""
    rows = [row for row in job_list(ports, kept, dealer) if row["machine"]["id"]]
    with ports.storage.reading() as unit:
        written = {one.id: one for one in unit.machines.all(dealer)}
        services = _services(ports, unit, dealer)
        goals = _Goals(Shelf(ports, unit, dealer), unit.packs.all(dealer))
        by_machine: dict[str, list[JsonObject]] = {id: [] for id in written}
        for row in sorted(rows, key=lambda row: str(row["started_at"])):
            by_machine.setdefault(row["machine"]["id"], []).append(row)
        found = [_register(id, written.get(id), mine, services, goals, ports.clock.now().date()) for id, mine in by_machine.items()]
    return sorted(found, key=lambda one: (min((ORDER.index(due["state"]) for due in one.due), default=9), one.name, one.id))


def machine_of(ports: Ports, kept: KeptRows, dealer: str, id: str) -> Register:
    """One machine. Raises Refused("no_such_machine")."""
    found = next((one for one in machines_of(ports, kept, dealer) if one.id == id), None)
    if found is None:
        raise Refused("no_such_machine")
    return found


def save_machine(ports: Ports, kept: KeptRows, dealer: str, by: str, id: str | None, told: JsonObject) -> str:
    """Writes down what the desk knows of a machine, a new one or one that jobs named. Answers its id.

    Hours that are older than what a job told later stay a reading of their day; None says nothing new. Raises Refused: no_such_machine.
    """
    if id is not None:
        machine_of(ports, kept, dealer, id)
    now, at = ports.clock.now(), id or str(uuid.uuid4())
    made = CustomerMachine(dealer, at, told["name"].strip(), told["customer"].strip(), told["model"] or None, told["year"],
                           sorted(told["options"]), told["serial"] or None, told["hours"], now if told["hours"] is not None else None,
                           told["words"].strip(), by, now)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        before = unit.machines.get(dealer, at)
        if before and made.hours in (None, before.hours):
            # no new reading: the one that was written down stays, and of its day
            made = replace(made, hours=before.hours, hours_at=before.hours_at)
        unit.machines.put(made)
        record_act(unit, ports, dealer, by, "machine_written", made.name, machine=at)
    return at


class _Goals:
    """What the procedure of a job reaches, by its pack."""

    def __init__(self, shelf: Shelf, packs: list[PublishedPack]) -> None:
        self._by_revision = {(pack.subject, pack.revision): pack.sha256 for pack in packs if pack.kind == "procedure"}
        self._shelf = shelf

    def of(self, row: JsonObject) -> set[tuple[str, ...]]:
        pack = self._shelf.pack(self._by_revision.get((row["procedure"], row["revision"])))
        return {tuple(goal) for goal in pack["goal"]} if pack else set()


def _services(ports: Ports, unit: Unit, dealer: str) -> dict[str, JsonObject]:
    """The services of each model by the map in force."""
    maps = [pack for pack in current_packs(unit.packs.all(dealer)) if pack.kind == "model"]
    contents = ((pack.subject, ports.files.get(dealer, "packs", pack.sha256)) for pack in maps)
    return {subject: dict(json.loads(content).get("services") or {}) for subject, content in contents if content}


def _register(id: str, written: CustomerMachine | None, jobs: list[JsonObject], services: dict[str, JsonObject], goals: _Goals,
              today: date) -> Register:
    last = jobs[-1] if jobs else None
    machine: JsonObject = last["machine"] if last else {}
    model = written.model if written and written.model else machine.get("model")
    year = written.year if written and written.year else machine.get("year")
    options = written.options if written and (written.options or written.model) else list(machine.get("options") or [])
    readings = _readings(written, jobs)
    newest = readings[-1] if readings else None
    variant = {"year": year, "options": options} if year is not None else None
    due = [_due(key, service, jobs, readings, goals, today) for key, service in services.get(model or "", {}).items()
           if variant and guard_holds(service["when"], variant)]  # type: ignore[arg-type]
    return Register(
        id=id, name=(written.name if written else "") or str(machine.get("name") or "Machine not named"),
        customer=written.customer if written and written.customer else (last["device"] if last else ""), model=model, year=year,
        options=options, serial=(written.serial if written else None) or machine.get("serial"),
        hours=newest["hours"] if newest else None, hours_on=newest["date"] if newest else None, words=written.words if written else "",
        due=sorted(due, key=lambda one: (ORDER.index(one["state"]), str(one["due_date"] or "9999"))),
        jobs=[{"job": row["job"], "title": row["title"], "on": _day(row), "closed": row["closed"] and row["closed"]["outcome"]}
              for row in reversed(jobs)],
    )


def _readings(written: CustomerMachine | None, jobs: Iterable[JsonObject]) -> list[JsonObject]:
    """Hours told, one a day, never falling: a smaller number later is another meter or a slip, and is left out."""
    told = [{"date": _day(row), "hours": row["machine"]["hours"]} for row in jobs if row["machine"]["hours"] is not None and _day(row)]
    if written and written.hours is not None and written.hours_at:
        told.append({"date": written.hours_at.date().isoformat(), "hours": written.hours})
    kept: list[JsonObject] = []
    for one in sorted(told, key=lambda one: (str(one["date"]), one["hours"])):
        if kept and one["hours"] < kept[-1]["hours"]:
            continue
        if kept and kept[-1]["date"] == one["date"]:
            kept.pop()
        kept.append(one)
    return kept


def _due(key: str, service: JsonObject, jobs: list[JsonObject], readings: list[JsonObject], goals: _Goals, today: date) -> JsonObject:
    done = next((_doing(row, readings) for row in reversed(jobs) if _counts(row, service, goals)), None)
    answer: Any = service_due(limbs=service["every"], today=today.isoformat(), done=done, readings=readings)
    values = answer.values
    return {"service": key, "name": service["name"], "source": service["source"], "procedure": service["procedure"],
            "every": [f"{limb['every']:g} {limb['meter']}" for limb in service["every"]], "done": done, "state": values["state"],
            "due_date": values["due_date"], "due_from": values["due_from"], "due_to": values["due_to"]}


def _counts(row: JsonObject, service: JsonObject, goals: _Goals) -> bool:
    """True if the job was finished and did what the service asks for."""
    if not row["closed"] or row["closed"]["outcome"] != "finished" or not _day(row):
        return False
    if service["procedure"] and service["procedure"] == row["procedure"]:
        return True
    reached, wanted = goals.of(row), [tuple(goal) for goal in service["goals"]]
    return bool(wanted) and all(goal in reached or (goal[0] == "measure" and ("done", *goal[1:]) in reached) for goal in wanted)


def _doing(row: JsonObject, readings: list[JsonObject]) -> JsonObject:
    day, hours = _day(row), row["machine"]["hours"]
    told = {"hours": hours} if hours is not None and any(one == {"date": day, "hours": hours} for one in readings) else {}
    return {"date": day, **told}


def _day(row: JsonObject) -> str:
    return str(row["started_at"] or "")[:10]
