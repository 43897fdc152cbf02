"""Which sites may show the dealer's plain pages in a frame, as its owner sets it. Knows the form of a site's name."""

import re

from benchtrail.domain.refused import Refused
from benchtrail.services.audit import record_act
from benchtrail.services.desk_records import FrameSites
from benchtrail.services.ports import Ports

MOST_SITES = 20
# A host-source with its scheme; no path, no list, nothing that could end the directive. Source: Content Security Policy
# Level 3, section 2.3.1.
SITE = re.compile(r"https://(?:\*\.)?[a-z0-9](?:[a-z0-9-]*[a-z0-9])?(?:\.[a-z0-9](?:[a-z0-9-]*[a-z0-9])?)*(?::[0-9]{1,5})?"
                  r"|http://(?:localhost|127\.0\.0\.1)(?::[0-9]{1,5})?")


def frame_sites(ports: Ports, dealer: str) -> list[str] | None:
    """The sites; None: any site, as long as the owner has not set anything."""
    with ports.storage.reading() as unit:
        found = unit.frame_sites.get(dealer)
    return found.sites if found else None


def set_frame_sites(ports: Ports, dealer: str, sites: list[str] | None, by: str) -> list[str] | None:
    """Sets the sites: some, none (an empty list), or any (None). Raises Refused: frame_site_form, frame_sites_many."""
    tidy = None if sites is None else sorted({site.strip().lower().rstrip("/") for site in sites if site.strip()})
    for site in tidy or []:
        if not SITE.fullmatch(site):
            raise Refused("frame_site_form", site=site[:80])
    if tidy is not None and len(tidy) > MOST_SITES:
        raise Refused("frame_sites_many", most=MOST_SITES)
    with ports.storage.writing() as unit:
        unit.dealers.lock(dealer)
        if tidy is None:
            unit.frame_sites.drop(dealer)
        else:
            unit.frame_sites.put(FrameSites(dealer, tidy))
        told = "any site" if tidy is None else " ".join(tidy) or "no site"
        record_act(unit, ports, dealer, by, "frame_sites_set", told)
    return tidy


def frame_ancestors(ports: Ports, dealer: str) -> str:
    """The directive's value for the dealer's pages."""
    sites = frame_sites(ports, dealer)
    return "*" if sites is None else " ".join(sites) or "'none'"
