"""From a text to a published revision: proposed, reviewed, published as reviewed; withdrawn; nothing is overwritten."""

import json

import pytest
from tests.making import with_dealer, with_device
from tests.sample_texts import JOB, JOB_PATH, MAP, MAP_PATH, changed, without_step

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import audit_all
from benchtrail.services.compile_library import LibraryFile
from benchtrail.services.dealers import manifest_of
from benchtrail.services.desk_library import current_procedure, library_of
from benchtrail.services.devices import revoke
from benchtrail.services.held_packs import tell_held
from benchtrail.services.impact import impact_of
from benchtrail.services.job_list import KeptRows
from benchtrail.services.ports import Ports
from benchtrail.services.proposals import (
    ProposalHasErrors,
    checked,
    packs_of,
    proposal_of,
    propose_files,
    publish_proposal,
    review,
    take_back,
)
from benchtrail.services.withdraw import withdraw

DEALER = "withen-bridge"
REASON = "I am the only one here this week."


def files(job: str = JOB, text_map: str = MAP) -> list[LibraryFile]:
    return [LibraryFile(MAP_PATH, text_map.encode()), LibraryFile(JOB_PATH, job.encode())]


def second(text: str) -> str:
    return changed(text, ("revision: 1", "revision: 2"))


def refusal(call: object, *given: object, **named: object) -> str:
    with pytest.raises(Refused) as refused:
        call(*given, **named)  # type: ignore[operator]
    return refused.value.code


def publish_first(ports: Ports) -> None:
    made = propose_files(ports, DEALER, "anna", files(), "First issue.")
    review(ports, DEALER, made.id, "rob", "accepted", "Read it all.", may_own=False)
    publish_proposal(ports, DEALER, made.id, "anna")


def in_manifest(ports: Ports) -> list[tuple[str, int]]:
    packs = json.loads(manifest_of(ports, DEALER).payload)["packs"]
    return [(pack["id"], pack["revision"]) for pack in packs if pack["kind"] == "procedure"]


def test_a_second_person_accepts_and_then_it_is_published(ports: Ports) -> None:
    made = propose_files(ports, DEALER, "anna", files(), "First issue.")
    assert refusal(publish_proposal, ports, DEALER, made.id, "anna") == "proposal_not_accepted"
    review(ports, DEALER, made.id, "rob", "sent_back", "Step 3 names no tray.", may_own=False)
    assert refusal(publish_proposal, ports, DEALER, made.id, "anna") == "proposal_not_accepted"
    review(ports, DEALER, made.id, "rob", "accepted", "", may_own=False)
    outcome = publish_proposal(ports, DEALER, made.id, "anna")
    assert [one.id for one in outcome.published] == ["test-model", "renew-cover-gasket"]
    assert proposal_of(ports, DEALER, made.id).proposal.state == "published"
    revision = library_of(ports, DEALER)[0]["revisions"][0]
    assert (revision["reviewed_by"], revision["own_review"], revision["current"]) == ("rob", None, True)
    assert refusal(review, ports, DEALER, made.id, "rob", "sent_back", "Late.", may_own=False) == "proposal_not_open"
    assert refusal(take_back, ports, DEALER, made.id, "anna") == "proposal_not_open"


def test_a_review_of_ones_own_needs_a_right_and_a_reason_that_is_kept(ports: Ports) -> None:
    made = propose_files(ports, DEALER, "anna", files(), "First issue.")
    assert refusal(review, ports, DEALER, made.id, "anna", "accepted", REASON, may_own=False) == "own_review_not_yours"
    assert refusal(review, ports, DEALER, made.id, "anna", "accepted", "so what", may_own=True) == "own_review_needs_reason"
    review(ports, DEALER, made.id, "anna", "accepted", REASON, may_own=True)
    publish_proposal(ports, DEALER, made.id, "anna")
    assert library_of(ports, DEALER)[0]["revisions"][0]["own_review"] == REASON
    told = [line.values for line in audit_all(ports, DEALER) if line.act == "reviewed"]
    assert told == [{"proposal": made.id, "verdict": "accepted", "own": True, "reason": REASON}]


def test_what_has_errors_is_not_proposed(ports: Ports) -> None:
    with pytest.raises(ProposalHasErrors) as refused:
        propose_files(ports, DEALER, "anna", files(without_step(JOB, "stage-2")), "A step less.")
    assert refused.value.findings
    assert refusal(propose_files, ports, DEALER, "anna", files(), "  ") == "change_note_length"


def test_a_proposal_shows_what_changes_and_whom_it_concerns(ports: Ports) -> None:
    publish_first(ports)
    phone = with_device(ports)
    pack = current_procedure(ports, DEALER, "renew-cover-gasket")
    with_device(ports)  # a second phone that has not said yet
    shut_out = with_device(ports)
    for one in (phone, shut_out):
        assert tell_held(ports, one, [pack.sha256, "f" * 64]) == 1
    revoke(ports, DEALER, shut_out.device)
    job = changed(second(JOB), ("Pull the cover off.", "Pull the cover off level."))
    made = propose_files(ports, DEALER, "anna", [LibraryFile(JOB_PATH, job.encode())], "The cover comes off level.")
    (new,) = packs_of(checked(ports, made))
    impact = impact_of(ports, KeptRows(), DEALER, new)
    assert (impact.subject, impact.before, impact.revision, impact.holders.phones) == ("renew-cover-gasket", 1, 2, 1)
    assert (impact.holders.revisions, impact.holders.untold) == ([(1, 1)], 1)
    assert [change["severity"] for change in impact.changes] == ["words"]
    assert impact.draft.startswith("Renew the cover gasket")


def test_nothing_published_is_overwritten(ports: Ports) -> None:
    publish_first(ports)
    before = current_procedure(ports, DEALER, "renew-cover-gasket")
    job = changed(JOB, ("Pull the cover off.", "Pull the cover off level."))
    files = [LibraryFile(JOB_PATH, job.encode())]
    assert refusal(propose_files, ports, DEALER, "anna", files, "The same number again.") == "revision_unchanged"
    assert current_procedure(ports, DEALER, "renew-cover-gasket") == before
    # two proposals of the same number: when one is published meanwhile, the other is not
    texts = [second(JOB), changed(second(JOB), ("Pull the cover off.", "Pull the cover off level."))]
    both = [propose_files(ports, DEALER, "anna", [LibraryFile(JOB_PATH, text.encode())], "The second.") for text in texts]
    for made in both:
        review(ports, DEALER, made.id, "rob", "accepted", "", may_own=False)
    publish_proposal(ports, DEALER, both[0].id, "anna")
    now = current_procedure(ports, DEALER, "renew-cover-gasket")
    assert refusal(publish_proposal, ports, DEALER, both[1].id, "anna") == "revision_unchanged"
    assert current_procedure(ports, DEALER, "renew-cover-gasket") == now
    assert proposal_of(ports, DEALER, both[1].id).proposal.state == "accepted"


def test_a_withdrawn_procedure_is_not_current_until_its_next_revision(ports: Ports) -> None:
    publish_first(ports)
    assert in_manifest(ports) == [("renew-cover-gasket", 1)]
    assert refusal(withdraw, ports, DEALER, "renew-cover-gasket", "anna", "no") == "withdraw_reason_length"
    withdraw(ports, DEALER, "renew-cover-gasket", "anna", "The figure of the cover screws is in doubt.")
    assert in_manifest(ports) == []
    assert refusal(current_procedure, ports, DEALER, "renew-cover-gasket") == "no_such_procedure"
    assert refusal(withdraw, ports, DEALER, "renew-cover-gasket", "anna", "The figure is in doubt.") == "no_such_procedure"
    revision = library_of(ports, DEALER)[0]["revisions"][0]
    assert (revision["current"], revision["withdrawn"]["by"]) == (False, "anna")
    with ports.storage.reading() as unit:
        assert [pack.revision for pack in unit.packs.all(DEALER) if pack.kind == "procedure"] == [1]
    made = propose_files(ports, DEALER, "anna", [LibraryFile(JOB_PATH, second(JOB).encode())], "The figure is right now.")
    review(ports, DEALER, made.id, "rob", "accepted", "", may_own=False)
    publish_proposal(ports, DEALER, made.id, "anna", "Use revision 2.")
    assert in_manifest(ports) == [("renew-cover-gasket", 2)]


def test_another_dealers_proposal_is_none(ports: Ports) -> None:
    with_dealer(ports, "other")
    made = propose_files(ports, DEALER, "anna", files(), "First issue.")
    assert refusal(proposal_of, ports, "other", made.id) == "no_such_proposal"
    assert refusal(review, ports, "other", made.id, "rob-other", "accepted", "", may_own=True) == "no_such_proposal"
    assert refusal(publish_proposal, ports, "other", made.id, "anna-other") == "no_such_proposal"
