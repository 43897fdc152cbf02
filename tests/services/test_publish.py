"""Publishing packs: named by hash, signed, counted up; all or none; nothing ever replaced."""

import hashlib
import json
from typing import Any

import pytest
import rfc8785
from tests.making import a_pack, a_photo, memory_ports

from benchtrail.domain.refused import Refused
from benchtrail.services.dealers import dealer_named, manifest_of
from benchtrail.services.desk_library import current_procedure, library_of
from benchtrail.services.library_files import pack_bytes
from benchtrail.services.ports import Ports
from benchtrail.services.publish import Order, Published, publish_packs
from benchtrail.storage.signing import verifies

DEALER = "withen-bridge"


def publish(ports: Ports, *packs: dict[str, Any], **pictures: bytes) -> list[Published]:
    return publish_packs(ports, DEALER, Order(list(packs), "anna", "Because.", pictures))


def payload(ports: Ports) -> dict[str, Any]:
    return dict(json.loads(manifest_of(ports, DEALER).payload))


def test_a_new_dealer_has_a_signed_empty_manifest(ports: Ports) -> None:
    assert payload(ports) == {"format": "benchtrail.manifest/1", "dealer": DEALER, "counter": 1,
                              "issued_at": "2026-11-25T09:00:00.000Z", "packs": [], "bulletins": []}


def test_a_pack_is_named_by_the_hash_of_its_canonical_bytes_and_signed(ports: Ports) -> None:
    (made,) = publish(ports, a_pack())
    content = pack_bytes(ports, made.sha256)
    assert content == rfc8785.dumps(a_pack())
    assert hashlib.sha256(content).hexdigest() == made.sha256
    (entry,) = payload(ports)["packs"]
    jwk = dealer_named(ports, DEALER).jwk
    assert verifies(jwk, content, entry["signature"])
    assert not verifies(jwk, content + b" ", entry["signature"])
    assert set(entry) == {"sha256", "bytes", "kind", "id", "title", "summary", "revision", "issued", "model", "applies",
                          "safety", "signature", "pictures"}


def test_the_manifest_is_canonical_signed_and_counts_up(ports: Ports) -> None:
    seen = [payload(ports)["counter"]]
    for revision in (1, 2, 3):
        publish(ports, a_pack(revision=revision))
        signed = manifest_of(ports, DEALER)
        assert rfc8785.dumps(json.loads(signed.payload)).decode() == signed.payload
        assert verifies(dealer_named(ports, DEALER).jwk, signed.payload.encode(), signed.signature)
        seen.append(payload(ports)["counter"])
    assert seen == [1, 2, 3, 4]


def test_publishing_the_same_again_changes_nothing(ports: Ports) -> None:
    publish(ports, a_pack())
    before = manifest_of(ports, DEALER)
    (again,) = publish(ports, a_pack())
    assert not again.new
    assert manifest_of(ports, DEALER) == before


def test_other_content_under_the_same_revision_is_refused(ports: Ports) -> None:
    publish(ports, a_pack())
    publish(ports, a_pack("other"))
    with pytest.raises(Refused, match="revision_unchanged") as caught:
        publish(ports, a_pack(title="Another title"), a_pack("other", title="Another too"))
    assert caught.value.values["packs"] == "test-drain (revision 1), other (revision 1)"


def test_an_earlier_revision_never_comes_back(ports: Ports) -> None:
    publish(ports, a_pack(revision=5))
    for again in (a_pack(revision=4), a_pack(revision=1, title="x")):
        with pytest.raises(Refused, match="revision_not_newer"):
            publish(ports, again)


def test_all_packs_are_published_or_none(ports: Ports) -> None:
    publish(ports, a_pack("first"))
    before = manifest_of(ports, DEALER)
    with pytest.raises(Refused, match="revision_unchanged"):
        publish(ports, a_pack("second"), a_pack("first", title="changed"))
    assert manifest_of(ports, DEALER) == before
    assert [one["id"] for one in library_of(ports, DEALER)] == ["first"]


def test_every_revision_is_kept_and_the_highest_is_in_force(ports: Ports) -> None:
    made = [publish(ports, a_pack(revision=revision))[0] for revision in (1, 3, 7)]
    for one in made:
        assert pack_bytes(ports, one.sha256)
    (entry,) = payload(ports)["packs"]
    assert entry["sha256"] == made[-1].sha256 == current_procedure(ports, DEALER, "test-drain").sha256
    (subject,) = library_of(ports, DEALER)
    assert [(one["revision"], one["current"]) for one in subject["revisions"]] == [(7, True), (3, False), (1, False)]
    assert subject["revisions"][0]["change_note"] == "Because."


def test_pictures_go_with_their_pack_and_must_have_their_hash(ports: Ports) -> None:
    content = a_photo()
    sha256 = hashlib.sha256(content).hexdigest()
    shown = {"a": {"sha256": sha256, "mime": "image/jpeg", "bytes": len(content), "alt": "A"}}
    for pictures in ({}, {sha256: b"other"}):
        with pytest.raises(Refused, match="picture_missing"):
            publish(ports, a_pack(pictures=shown), **pictures)
    publish(ports, a_pack(pictures=shown | {"b": shown["a"]}), **{sha256: content})
    (entry,) = payload(ports)["packs"]
    assert entry["pictures"] == [{"sha256": sha256, "bytes": len(content), "mime": "image/jpeg"}]


def test_a_map_is_published_beside_the_procedures(ports: Ports) -> None:
    model = {"format": "benchtrail.model/1", "dealer": DEALER, "model": "fell", "name": "Fell 250", "invented": True,
             "years": [2021, 2026], "options": [], "revision": 1, "issued": "2026-11-02"}
    publish(ports, a_pack(), model)
    entries = {entry["kind"]: entry for entry in payload(ports)["packs"]}
    assert [entries["model"][name] for name in ("id", "title", "model")] == ["fell", "Fell 250", "fell"]


def test_a_pack_of_another_dealer_is_refused(ports: Ports) -> None:
    with pytest.raises(Refused, match="pack_of_other_dealer"):
        publish(ports, a_pack(dealer="someone-else"))


def test_without_the_right_key_nothing_is_published(ports: Ports) -> None:
    with pytest.raises(Refused, match="no_such_dealer"):
        publish_packs(ports, "nowhere", Order([a_pack()], "anna"))
    other = memory_ports()
    other.signers.make(DEALER)
    with pytest.raises(Refused, match="signing_key_changed"):
        publish_packs(Ports(**{**vars(ports), "signers": other.signers}), DEALER, Order([a_pack()], "anna"))
    with pytest.raises(Refused, match="signing_key_missing"):
        publish_packs(Ports(**{**vars(ports), "signers": memory_ports().signers}), DEALER, Order([a_pack()], "anna"))
