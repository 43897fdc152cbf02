"""From a text to a published revision: proposed, reviewed by a second person (or by its writer, with a reason), published.

Knows states and who may take them; reading, checking and publishing texts are other services.
"""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from benchtrail.domain.findings import Finding, blocks_publishing
from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.bulletins import LONGEST_TEXT
from benchtrail.services.check_library import check_library
from benchtrail.services.compile_library import Library, LibraryFile
from benchtrail.services.desk_records import Proposal, Review
from benchtrail.services.ports import Ports, Unit
from benchtrail.services.publish import must_be_newer
from benchtrail.services.publish_library import (
    Outcome,
    ReadPicture,
    procedure_packs,
    publish_files,
    published_pictures,
    with_published_maps,
    with_reasons_wanted,
)
from benchtrail.services.records import JsonObject
from benchtrail.services.touched import Touched, carry_on, next_revisions, touched_by
from benchtrail.services.workfile_check import library_files_of, picture_reader_of
from benchtrail.services.workfiles import open_workfile

LONGEST_NOTE, LEAST_REASON, LONGEST_WORDS = 300, 10, 2000
Verdict = Literal["accepted", "sent_back"]


class ProposalHasErrors(Exception):
    """The texts cannot be published, so there is nothing to review; `findings` say why."""

    def __init__(self, findings: list[Finding]) -> None:
        super().__init__(f"{len(findings)} findings")
        self.findings = findings


@dataclass(frozen=True)
class Reviewed:
    """A proposal with what was said about it."""

    proposal: Proposal
    reviews: list[Review]


def propose_files(ports: Ports, dealer: str, by: str, files: list[LibraryFile], change_note: str, bulletin: str = "") -> Proposal:
    """A proposal of texts as they were sent. Raises Refused: change_note_length, bulletin_length, revision_unchanged,
    revision_not_newer; also ProposalHasErrors."""
    return _propose(ports, dealer, by, files, change_note, bulletin, None, None)


def propose_workfile(ports: Ports, dealer: str, by: str, workfile: str, version: int | None, change_note: str,
                     bulletin: str = "", touched: Sequence[str] = ()) -> Proposal:
    """A proposal of one saved version of a workfile, the newest by default; what is saved later is not part of it.
    `touched`: published procedures that get their next revision with it, of their text in force.

    Raises Refused: no_such_workfile, no_such_version, change_note_length, bulletin_length, touched_not_published;
    also ProposalHasErrors.
    """
    _check_words(change_note, bulletin)
    found, saved = open_workfile(ports, dealer, workfile, version)
    files, map_used = library_files_of(ports, dealer, found, saved.text)
    if map_used["from"] == "workfile":
        # The map it was written with goes to review beside it: one is nothing without the other.
        files = [LibraryFile(file.path, file.content) for file in files]
    own = [file for file in files if file.asked]
    beside = next_revisions(ports, dealer, touched, change_note, ports.clock.now().date())
    paths = {file.path for file in own}
    return _propose(ports, dealer, by, [*own, *(file for file in beside if file.path not in paths)], change_note, bulletin,
                    workfile, saved.version)


def _propose(ports: Ports, dealer: str, by: str, files: list[LibraryFile], change_note: str, bulletin: str,
             workfile: str | None, version: int | None) -> Proposal:
    _check_words(change_note, bulletin)
    kept: list[JsonObject] = [{"path": file.path, "text": file.content.decode("utf-8", "surrogatepass")} for file in files]
    made = Proposal(dealer, str(uuid.uuid4()), "", kept, change_note.strip(), bulletin.strip(), workfile, version, by,
                    ports.clock.now())
    library = checked(ports, made)
    if blocks_publishing(library.findings):
        raise ProposalHasErrors(with_reasons_wanted(library.findings))
    must_be_newer(ports, dealer, packs_of(library))
    titles = [str(pack.get("title") or pack.get("name")) for pack in packs_of(library)]
    made = replace(made, title=", ".join(titles)[:500] or files[0].path)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        unit.proposals.put(made)
        record_act(unit, ports, dealer, by, "sent_for_review", made.title, proposal=made.id)
    return made


def proposals_of(ports: Ports, dealer: str) -> list[Reviewed]:
    """All, the newest first."""
    with ports.storage.reading() as unit:
        reviews = unit.reviews.all(dealer)
        found = sorted(unit.proposals.all(dealer), key=lambda one: one.made_at, reverse=True)
    return [Reviewed(one, [review for review in reviews if review.proposal == one.id]) for one in found]


def proposal_of(ports: Ports, dealer: str, id: str) -> Reviewed:
    """One with its reviews. Raises Refused("no_such_proposal")."""
    with ports.storage.reading() as unit:
        return Reviewed(_mine(unit, dealer, id), unit.reviews.all(dealer, proposal=id))


def checked(ports: Ports, proposal: Proposal) -> Library:
    """What the checks find in its texts now."""
    files, read_picture = _readable(ports, proposal)
    return check_library(files, read_picture, proposal.dealer)


def left_out(ports: Ports, dealer: str, proposal: Proposal) -> list[Touched]:
    """The published procedures that its maps change and that do not go with it; none once it is over."""
    if proposal.state in ("published", "taken_back"):
        return []
    return touched_by(ports, dealer, [LibraryFile(file["path"], file["text"].encode("utf-8", "surrogatepass")) for file in proposal.files])


def packs_of(library: Library) -> list[JsonObject]:
    """The packs that would be published of the asked texts, maps first."""
    packs = [dict(entry.pack) for entry in library.maps if entry.asked]
    return packs + [pack for pack, _ in procedure_packs(library)]


def review(ports: Ports, dealer: str, id: str, by: str, verdict: Verdict, words: str, may_own: bool) -> Reviewed:
    """Accepts the proposal or sends it back. Its writer may accept it too, if they may publish, with a reason that is kept.

    Raises Refused: no_such_proposal, proposal_not_open, own_review_needs_reason, own_review_not_yours, review_words_length.
    """
    said = words.strip()
    if len(said) > LONGEST_WORDS or (verdict == "sent_back" and not said):
        raise Refused("review_words_length", most=LONGEST_WORDS)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        proposal = _mine(unit, dealer, id)
        if proposal.state not in ("open", "accepted", "sent_back"):
            raise Refused("proposal_not_open", title=proposal.title, state=proposal.state.replace("_", " "))
        own = proposal.made_by == by
        if own and not may_own:
            raise Refused("own_review_not_yours", title=proposal.title)
        if own and verdict == "accepted" and len(said) < LEAST_REASON:
            raise Refused("own_review_needs_reason", title=proposal.title, least=LEAST_REASON)
        number = len(unit.reviews.all(dealer, proposal=id)) + 1
        unit.reviews.put(Review(dealer, id, number, by, ports.clock.now(), verdict, said, own))
        changed = replace(proposal, state=verdict)
        unit.proposals.put(changed)
        record_act(unit, ports, dealer, by, "reviewed", proposal.title, proposal=id, verdict=verdict, own=own, reason=said)
        return Reviewed(changed, unit.reviews.all(dealer, proposal=id))


def take_back(ports: Ports, dealer: str, id: str, by: str) -> Proposal:
    """Ends the proposal without publishing it. Raises Refused: no_such_proposal, proposal_not_open."""
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        proposal = _mine(unit, dealer, id)
        if proposal.state == "published":
            raise Refused("proposal_not_open", title=proposal.title, state="published")
        changed = replace(proposal, state="taken_back")
        unit.proposals.put(changed)
        record_act(unit, ports, dealer, by, "proposal_taken_back", proposal.title, proposal=id)
    return changed


def publish_proposal(ports: Ports, dealer: str, id: str, by: str, bulletin: str | None = None) -> Outcome:
    """Publishes an accepted proposal exactly as it was reviewed; `bulletin` replaces the words proposed with it.

    Raises Refused: no_such_proposal, proposal_not_accepted, bulletin_length, and as publish_packs.
    """
    with ports.storage.reading() as unit:
        proposal = _mine(unit, dealer, id)
    if proposal.state != "accepted":
        raise Refused("proposal_not_accepted", title=proposal.title, state=proposal.state.replace("_", " "))
    words = proposal.bulletin if bulletin is None else bulletin.strip()
    _check_words(proposal.change_note, words)
    files, read_picture = _readable(ports, proposal)
    outcome = publish_files(ports, dealer, files, read_picture, by, proposal.change_note, words)
    if outcome.refused:
        return outcome
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        unit.proposals.put(replace(
            _mine(unit, dealer, id), state="published", bulletin=words, published=[one.sha256 for one in outcome.published],
            published_by=by, published_at=ports.clock.now()))
    carry_on(ports, dealer, by, [LibraryFile(file["path"], file["text"].encode("utf-8", "surrogatepass")) for file in proposal.files],
             proposal.workfile)
    return outcome


def reviews_by_pack(unit: Unit, dealer: str) -> dict[str, Review]:
    """The review with which each pack was accepted, by the pack's hash."""
    accepted: dict[str, Review] = {}
    for one in unit.reviews.all(dealer):
        if one.verdict == "accepted":
            accepted[one.proposal] = one
    found: dict[str, Review] = {}
    for proposal in sorted(unit.proposals.all(dealer, state="published"), key=lambda one: one.made_at, reverse=True):
        for sha256 in proposal.published:
            if proposal.id in accepted:
                found[sha256] = accepted[proposal.id]
    return found


def _readable(ports: Ports, proposal: Proposal) -> tuple[list[LibraryFile], ReadPicture]:
    own = [LibraryFile(file["path"], file["text"].encode("utf-8", "surrogatepass")) for file in proposal.files]
    files = with_published_maps(ports, proposal.dealer, own)
    from_published = published_pictures(ports, proposal.dealer, files)
    if proposal.workfile is None:
        return files, from_published
    from_workfile = picture_reader_of(ports, proposal.dealer, open_workfile(ports, proposal.dealer, proposal.workfile)[0])
    return files, lambda path: from_workfile(path) or from_published(path)


def _check_words(change_note: str, bulletin: str) -> None:
    if not 1 <= len(change_note.strip()) <= LONGEST_NOTE:
        raise Refused("change_note_length", most=LONGEST_NOTE)
    if len(bulletin) > LONGEST_TEXT:
        raise Refused("bulletin_length", most=LONGEST_TEXT)


def _mine(unit: Unit, dealer: str, id: str) -> Proposal:
    found = unit.proposals.get(dealer, id)
    if found is None:
        raise Refused("no_such_proposal")
    return found
