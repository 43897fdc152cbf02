"""A job's record as the files that leave the house: laid out, with its photos, sealed. Knows both kinds of file."""

from benchtrail.domain.refused import Refused
from benchtrail.paper.document import Size
from benchtrail.paper.record_page import record_page
from benchtrail.paper.record_parts import Json, Say
from benchtrail.paper.service_record import service_record
from benchtrail.services.photos import clean_photo
from benchtrail.services.ports import Ports
from benchtrail.services.record_seal import sealed


def record_as_pdf(ports: Ports, dealer: str, made: Json, say: Say, size: Size) -> bytes:
    """The PDF of a record (services/job_report.py), sealed where the dealer's key is here."""
    def read_photo(sha256: str) -> bytes | None:
        found = _photo(ports, dealer, sha256)
        return found[0] if found else None

    content = service_record(made, say, ports.clock.now(), read_photo, size)
    return sealed(ports, dealer, content, made["job"], made["digest"])


def record_as_page(ports: Ports, dealer: str, made: Json, say: Say) -> bytes:
    """The page of a record, sealed where the dealer's key is here."""
    content = record_page(made, say, lambda sha256: _photo(ports, dealer, sha256))
    return sealed(ports, dealer, content, made["job"], made["digest"])


def _photo(ports: Ports, dealer: str, sha256: str) -> tuple[bytes, str] | None:
    try:
        return clean_photo(ports, dealer, sha256)
    except Refused:
        return None
