"""Addresses that a customer opens, and their QR codes. Knows the addresses of the phone's pages; no HTTP."""

import io
from urllib.parse import quote

import segno


def procedure_link(base: str, procedure: str) -> str:
    """The address of a procedure on the phone, which opens the revision in force; so a printed code stays good."""
    return f"{base}/procedure/{quote(procedure, safe='')}"


def enrolment_link(base: str, code: str) -> str:
    """The address that enrols a phone. The code stands behind #, so that no server or log on the way sees it."""
    return f"{base}/enrol#code={code}"


def password_link(base: str, code: str) -> str:
    """The address where someone sets their own password; the code behind # as above."""
    return f"{base}/desk/password#code={code}"


def qr_svg(text: str) -> str:
    """A QR code as a picture of its own: dark on light with its quiet zone. Source: ISO/IEC 18004, model 2."""
    out = io.BytesIO()
    drawn = segno.make(text, error="m", micro=False)
    drawn.save(out, kind="svg", scale=8, border=4, dark="#111", light="#fff", xmldecl=False)
    return out.getvalue().decode()


def qr_terminal(text: str) -> str:
    """A QR code in half blocks for a terminal with dark or light ground."""
    out = io.StringIO()
    segno.make(text, error="l", micro=False).terminal(out, border=2, compact=True)
    return out.getvalue()
