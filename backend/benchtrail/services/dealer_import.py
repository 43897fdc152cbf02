"""Takes a dealership in from its file, on a server that does not have it: everything, or nothing.

The whole file is proven first (dealer_check.py). Then files go in, under the hashes of what they hold, and all rows in one
unit of work: whatever ends the program before that leaves nothing that anyone sees, and the same file begins anew.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import IO, Any

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.dealer_check import check_dealer_file
from benchtrail.services.dealer_export import needed_files
from benchtrail.services.dealer_file import DealerFile, file_name, open_dealer_file
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.people import make_password_code
from benchtrail.services.ports import Ports, Signer, Unit
from benchtrail.services.records import JsonObject, PasswordCode

ONE_AT_A_TIME = hashlib.sha256(b"a dealership is being taken in").hexdigest()[:32]
LONGEST_NAME = 40


@dataclass(frozen=True)
class Plan:
    """What taking the file in does, or did. `rows`: how many of each table; `key`: "same" when this server holds the
    dealer's signing key, "new" when one is made and everything is signed anew, "missing" when neither; `renamed`: names to
    sign in with that others have here already, and what they become; `owners`: who sets a password first; `phones`: how
    many phones must join anew, and how many of them had not sent everything; `missing`: files that the old server lacked."""

    slug: str
    name: str
    kid: str
    made_at: str
    made_by: str
    rows: dict[str, int]
    key: str
    renamed: dict[str, str]
    owners: list[str]
    phones: int
    phones_waiting: int
    missing: list[str]


def plan_import(ports: Ports, source: IO[bytes], new_key: bool = False) -> Plan:
    """Proves the file and says what would be done; changes nothing.

    Raises Refused: dealer_exists, and as open_dealer_file and check_dealer_file.
    """
    return _plan(ports, _proven(ports, source), new_key)


def import_dealer(ports: Ports, source: IO[bytes], by: str, new_key: bool = False) -> tuple[Plan, list[tuple[str, PasswordCode]]]:
    """Takes the dealership in; answers what was done, and a password code for each owner.

    Raises Refused: as plan_import, dealer_key_missing, dealer_key_differs, dealer_file_clash, upload_in_use.
    """
    with ports.upload_locks.hold(ONE_AT_A_TIME):
        file = _proven(ports, source)
        plan = _plan(ports, file, new_key)
        if plan.key == "missing":
            raise Refused("dealer_key_missing", dealer=plan.slug, kid=plan.kid)
        signer = ports.signers.make(plan.slug)
        _put_files(ports, file)
        ports.tables.fill(_rows(file, plan, signer, ports), lambda unit: _finish(ports, unit, file, plan, signer, by))
    for row in file.rows("photos"):
        if row["state"] == "held":
            ports.photo_queue.put(plan.slug, row["sha256"])
    return plan, [make_password_code(ports, plan.slug, name, by) for name in plan.owners]


def _proven(ports: Ports, source: IO[bytes]) -> DealerFile:
    file = open_dealer_file(source)
    with ports.storage.reading() as unit:
        if unit.dealers.get(file.dealer["slug"]):
            raise Refused("dealer_exists", slug=file.dealer["slug"])
    check_dealer_file(ports, file)
    return file


def _plan(ports: Ports, file: DealerFile, new_key: bool) -> Plan:
    slug, kid = file.dealer["slug"], file.dealer["kid"]
    accounts, phones = list(file.rows("accounts")), [row for row in file.rows("devices") if row["revoked_at"] is None]
    with ports.storage.reading() as unit:
        taken = [str(row["name"]) for row in accounts if unit.accounts.get(row["name"])]
        renamed = {name: _other_name(unit, name, slug) for name in taken}
    owners = [str(row["name"]) for row in accounts if row["role"] == "owner" and row["closed_at"] is None]
    facts = file.contents
    return Plan(
        slug=slug, name=file.dealer["name"], kid=kid, made_at=facts["made_at"], made_by=str(facts.get("made_by", ""))[:120],
        rows={name: count for name, count in facts["rows"].items() if count}, key=_key_here(ports, slug, kid, new_key),
        renamed=renamed, owners=sorted(renamed.get(name, name) for name in owners), phones=len(phones),
        phones_waiting=sum(bool(row["waiting"]) for row in phones), missing=facts["missing"],
    )


def _key_here(ports: Ports, slug: str, kid: str, new_key: bool) -> str:
    try:
        held = ports.signers.get(slug).kid
    except Refused as refusal:
        if refusal.code != "signing_key_missing":
            raise
        return "new" if new_key else "missing"
    if held != kid and not new_key:
        raise Refused("dealer_key_differs", dealer=slug, kid=kid, held=held)
    return "same" if held == kid else "new"


def _other_name(unit: Unit, name: str, slug: str) -> str:
    """The name with the dealer's behind it, and a number when that is taken too."""
    for number in range(1, 1000):
        behind = f"-{slug}" if number == 1 else f"-{slug}-{number}"
        made = name[: LONGEST_NAME - len(behind[:30])] + behind[:30]
        if unit.accounts.get(made) is None:
            return made
    raise Refused("account_exists", name=name)


def _put_files(ports: Ports, file: DealerFile) -> None:
    slug = file.dealer["slug"]
    for room, sha256, mime in needed_files(file.rows):
        name = file_name(room, sha256, mime)
        if name not in file.contents["missing"] and ports.files.size(slug, room, sha256) != file.files[name]["bytes"]:
            ports.files.put(slug, room, sha256, file.content(name))


def _rows(file: DealerFile, plan: Plan, signer: Signer, ports: Ports) -> Iterator[tuple[str, JsonObject]]:
    """Every row as it is put in: as it was, but for the names that are taken and, with a new key, what the key signs."""
    for shape in ports.tables.shapes():
        for row in file.rows(shape.name):
            made: dict[str, Any] = dict(row)
            if shape.name == "accounts":
                made["name"] = plan.renamed.get(row["name"], row["name"])
            if shape.name == "dealers":
                made |= {"kid": signer.kid, "jwk": signer.jwk}
            if shape.name == "packs" and plan.key == "new":
                content = ports.files.get(plan.slug, "packs", row["sha256"]) or b""
                made["entry"] = row["entry"] | {"signature": signer.sign(content)}
            yield shape.name, made


def _finish(ports: Ports, unit: Unit, file: DealerFile, plan: Plan, signer: Signer, by: str) -> None:
    """The line of the audit log, and with a new key a new manifest, within the unit that put the rows in."""
    former = {"former_key": file.dealer["jwk"]} if plan.key == "new" else {}
    record_act(unit, ports, plan.slug, by, "imported", plan.name, made_at=plan.made_at, key=plan.key, **former)
    dealer = unit.dealers.get(plan.slug)
    assert dealer is not None  # its row was put in
    if former:
        issue_manifest(unit, ports, replace(dealer, kid=signer.kid, jwk=signer.jwk), signer)

