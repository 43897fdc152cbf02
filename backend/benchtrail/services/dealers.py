"""The dealerships of a server: making one, with its signing key and its first, empty manifest."""

import re
import secrets

from benchtrail.domain.refused import Refused
from benchtrail.services.manifests import issue_manifest
from benchtrail.services.ports import Ports
from benchtrail.services.records import Dealer, SignedManifest

SLUG = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,62}[a-z0-9])?")


def add_dealer(ports: Ports, slug: str, name: str, invented: bool = False) -> Dealer:
    """Makes a dealership. Raises Refused: dealer_slug_form, dealer_name_empty, dealer_exists."""
    if not SLUG.fullmatch(slug):
        raise Refused("dealer_slug_form", slug=slug)
    if not name.strip():
        raise Refused("dealer_name_empty", slug=slug)
    signer = ports.signers.make(slug)
    dealer = Dealer(slug, name.strip(), invented, signer.kid, signer.jwk, new_epoch(), ports.clock.now())
    with ports.storage.writing() as unit:
        if unit.dealers.get(slug):
            raise Refused("dealer_exists", slug=slug)
        unit.dealers.add(dealer)
        issue_manifest(unit, ports, dealer, signer)
    return dealer


def all_dealers(ports: Ports) -> list[Dealer]:
    """All dealerships of this server, by slug."""
    with ports.storage.reading() as unit:
        return unit.dealers.all()


def dealer_named(ports: Ports, slug: str) -> Dealer:
    """The dealership. Raises Refused("no_such_dealer")."""
    with ports.storage.reading() as unit:
        dealer = unit.dealers.get(slug)
    if dealer is None:
        raise Refused("no_such_dealer", slug=slug)
    return dealer


def manifest_of(ports: Ports, slug: str) -> SignedManifest:
    """What is current, signed. Raises Refused("no_such_dealer")."""
    with ports.storage.reading() as unit:
        manifest = unit.packs.manifest(slug)
    if manifest is None:
        raise Refused("no_such_dealer", slug=slug)
    return manifest


def new_epoch() -> str:
    """A name for the time since this server's data was made or restored."""
    return secrets.token_hex(8)
