"""Takes a procedure out of what is current. Its revisions stay where they are: nothing published is ever overwritten."""

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_library import current_procedure
from benchtrail.services.desk_records import Withdrawal
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.ports import Ports

LEAST_REASON, LONGEST_REASON = 10, 500


def withdraw(ports: Ports, dealer: str, procedure: str, by: str, reason: str) -> Withdrawal:
    """Withdraws the revision in force; the procedure is current again with the next revision that is published.

    Raises Refused: withdraw_reason_length, no_such_procedure, signing_key_missing.
    """
    words = reason.strip()
    if not LEAST_REASON <= len(words) <= LONGEST_REASON:
        raise Refused("withdraw_reason_length", least=LEAST_REASON, most=LONGEST_REASON)
    pack, signer = current_procedure(ports, dealer, procedure), ports.signers.get(dealer)
    made = Withdrawal(dealer, procedure, pack.revision, by, ports.clock.now(), words)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        owner = unit.dealers.get(dealer)
        assert owner is not None  # its account asks
        unit.withdrawals.put(made)
        issue_manifest(unit, ports, owner, signer)
        record_act(unit, ports, dealer, by, "withdrawn", procedure, revision=pack.revision, reason=words)
    return made
