"""The signed list of what is current (shared/README.md §10). Knows its form and its counter, which only grows."""

import rfc8785

from benchtrail.clock import as_text
from benchtrail.services.bulletins import in_manifest
from benchtrail.services.ports import Ports, Signer, Unit
from benchtrail.services.records import Dealer, JsonObject, PublishedPack, SignedManifest

FORMAT = "benchtrail.manifest/1"


def current_packs(packs: list[PublishedPack]) -> list[PublishedPack]:
    """Of each subject the pack with the highest revision."""
    latest: dict[tuple[str, str], PublishedPack] = {}
    for pack in packs:
        held = latest.get((pack.kind, pack.subject))
        if held is None or pack.revision > held.revision:
            latest[pack.kind, pack.subject] = pack
    return [latest[key] for key in sorted(latest)]


def not_withdrawn(unit: Unit, dealer: str, packs: list[PublishedPack]) -> list[PublishedPack]:
    """Those that nobody has taken out of what is current."""
    out = {(one.subject, one.revision) for one in unit.withdrawals.all(dealer)}
    return [pack for pack in packs if pack.kind != "procedure" or (pack.subject, pack.revision) not in out]


def issue_manifest(unit: Unit, ports: Ports, dealer: Dealer, signer: Signer) -> SignedManifest:
    """Signs and keeps a manifest of what is current now; within a writing unit, under the dealer's lock."""
    unit.dealers.lock(dealer.slug)
    before = unit.packs.manifest(dealer.slug)
    now = ports.clock.now()
    packs = not_withdrawn(unit, dealer.slug, current_packs(unit.packs.all(dealer.slug)))
    # A phone follows procedures only: what changed in a map reaches it with the procedure that shows it.
    told = [one for pack in packs if pack.kind == "procedure" for one in unit.bulletins.to_pack(dealer.slug, pack.sha256)]
    body: JsonObject = {
        "format": FORMAT,
        "dealer": dealer.slug,
        "counter": before.counter + 1 if before else 1,
        "issued_at": as_text(now),
        "packs": [pack.entry for pack in packs],
        "bulletins": [in_manifest(one) for one in told],
    }
    payload = rfc8785.dumps(body)
    manifest = SignedManifest(dealer.slug, body["counter"], payload.decode(), signer.sign(payload), signer.kid, now)
    unit.packs.add_manifest(manifest)
    return manifest
