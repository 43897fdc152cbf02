"""Is a dealership's file whole and true: every hash, signature and chain in it is worked out anew. Changes nothing.

What it proves: nothing in the file was changed since the dealer's key sealed it, and what the key, the phones and the audit
log vouch for agrees with itself. What no file can prove: whose key it is. Its thumbprint is told, to be compared.
"""

import hashlib
import json
from datetime import datetime

import rfc8785

from benchtrail.domain.event_hash import event_hash
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import first_break
from benchtrail.services.dealer_export import needed_files
from benchtrail.services.dealer_file import DealerFile, file_name
from benchtrail.services.ports import Ports
from benchtrail.services.publish import KINDS
from benchtrail.services.records import AuditEntry, JsonObject

OF_ENVELOPE = ("id", "device", "seq", "job", "kind")


def check_dealer_file(ports: Ports, file: DealerFile) -> None:
    """Raises Refused: dealer_file_seal, dealer_file_newer, dealer_file_row, dealer_file_changed, dealer_file_audit."""
    _check_seal(ports, file)
    _check_tables(ports, file)
    keys = _keys(ports, file)
    _check_packs(ports, file)
    _check_manifests(ports, file, keys)
    _check_events(file)
    _check_files(file)
    for name in file.files:
        file.content(name)


def _check_seal(ports: Ports, file: DealerFile) -> None:
    dealer, seal = file.dealer, file.seal
    if ports.signers.thumbprint(dealer["jwk"]) != dealer["kid"] or seal["kid"] != dealer["kid"]:
        raise Refused("dealer_file_seal", kid=dealer["kid"][:60])
    try:
        good = ports.signers.verifies(dealer["jwk"], file.contents_bytes, seal["signature"])
    except ValueError:
        good = False
    if not good:
        raise Refused("dealer_file_seal", kid=dealer["kid"][:60])


def _check_tables(ports: Ports, file: DealerFile) -> None:
    """Every row has the columns that this server knows, and is of this dealer."""
    shapes = {shape.name: shape for shape in ports.tables.shapes()}
    unknown = sorted(set(file.contents["rows"]) - set(shapes))
    if unknown:
        raise Refused("dealer_file_newer", what=", ".join(unknown)[:200])
    for name, shape in shapes.items():
        count = 0
        for count, row in enumerate(file.rows(name), 1):
            strange = sorted(set(row) - set(shape.columns))
            if strange:
                raise Refused("dealer_file_newer", what=f"{name}: {', '.join(strange)}"[:200])
            of = row.get("slug" if name == "dealers" else "dealer")
            if of != file.dealer["slug"] or any(row.get(column) is None for column in shape.needed):
                raise Refused("dealer_file_row", table=name, number=count)
        if count != file.contents["rows"].get(name, 0):
            raise Refused("dealer_file_row", table=name, number=count)
    (dealer,) = [*file.rows("dealers")] or [{}]
    if any(dealer.get(part) != file.dealer[part] for part in ("name", "invented", "kid", "jwk")):
        raise Refused("dealer_file_row", table="dealers", number=1)


def audit_lines(file: DealerFile) -> list[AuditEntry]:
    """The audit log of the file, its chain held. Raises Refused("dealer_file_audit")."""
    try:
        lines = [AuditEntry(**row | {"at": datetime.fromisoformat(row["at"])}) for row in file.rows("audit_log")]
        broken = first_break(lines)
    except (TypeError, ValueError) as error:
        raise Refused("dealer_file_audit", number=1) from error
    if broken is not None:
        raise Refused("dealer_file_audit", number=broken)
    return lines


def _keys(ports: Ports, file: DealerFile) -> dict[str, JsonObject]:
    """The dealer's key, and those that it had on earlier servers, as the audit log names them."""
    former = [line.values["former_key"] for line in audit_lines(file) if line.act == "imported" and line.values.get("former_key")]
    return {ports.signers.thumbprint(jwk): jwk for jwk in [*former, file.dealer["jwk"]]}


def _check_packs(ports: Ports, file: DealerFile) -> None:
    for number, row in enumerate(file.rows("packs"), 1):
        entry, name = row["entry"], file_name("packs", row["sha256"])
        if name in file.contents["missing"]:
            continue
        content = file.content(name)
        try:
            pack = json.loads(content)
            kind, key = KINDS[pack["format"]]
            same = [hashlib.sha256(content).hexdigest(), len(content), kind, pack[key], pack["revision"]]
            sound = rfc8785.dumps(pack) == content and pack["dealer"] == row["dealer"]
            sound = sound and same == [entry[part] for part in ("sha256", "bytes", "kind", "id", "revision")]
            sound = sound and same[:1] + same[2:] == [row[part] for part in ("sha256", "kind", "subject", "revision")]
            sound = sound and ports.signers.verifies(file.dealer["jwk"], content, entry["signature"])
        except (ValueError, KeyError, TypeError, RecursionError):
            sound = False
        if not sound:
            raise Refused("dealer_file_row", table="packs", number=number)


def _check_manifests(ports: Ports, file: DealerFile, keys: dict[str, JsonObject]) -> None:
    for number, row in enumerate(file.rows("manifests"), 1):
        jwk = keys.get(row["kid"])
        if jwk is None or not ports.signers.verifies(jwk, row["payload"].encode(), row["signature"]):
            raise Refused("dealer_file_row", table="manifests", number=number)


def _check_events(file: DealerFile) -> None:
    """Each event has the hash that was receipted, unless its contents were erased, and its row says what it says."""
    for number, row in enumerate(file.rows("events"), 1):
        try:
            event = json.loads(row["text"])
            sound = all(event[part] == row[part] for part in OF_ENVELOPE) and (row["erased_at"] or event_hash(event) == row["sha256"])
        except (ValueError, KeyError, TypeError, RecursionError, Refused):
            sound = False
        if not sound:
            raise Refused("dealer_file_row", table="events", number=number)


def _check_files(file: DealerFile) -> None:
    """Every file that the rows name is in it under its hash, or said to be missing."""
    for room, sha256, mime in needed_files(file.rows):
        name = file_name(room, sha256, mime)
        if name not in file.contents["missing"] and hashlib.sha256(file.content(name)).hexdigest() != sha256:
            raise Refused("dealer_file_changed", name=name)
