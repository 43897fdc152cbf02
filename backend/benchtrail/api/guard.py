"""What every request must be, and what every answer carries. Knows headers; nothing of resources.

Writes need three things that a page of another site cannot send along with our cookies: our own header, a JSON (or
upload) content type, and, from browsers that say so, the same origin. Source: W3C Fetch Metadata Request Headers.
"""

from flask import Flask, Response, request

from benchtrail.domain.refused import Refused

SAFE = {"GET", "HEAD", "OPTIONS"}
JSON_TYPE, PIECE_TYPE, ZIP_TYPE = "application/json", "application/offset+octet-stream", "application/zip"
ZIPS = "/api/v1/set-up/dealer-file"
BODY_BYTES = 256 * 1024
# texts with many files; a text of 256 KiB may be written with \u-escapes, a picture of 2 MiB comes in base64
LARGER_BODIES = (("/api/v1/desk/library/", 12 * 1024 * 1024), ("/api/v1/desk/workfiles", 4 * 1024 * 1024),
                 ("/api/v1/desk/job-files", 64 * 1024 * 1024), (ZIPS, 1024 * 1024 * 1024))
CONTENT_POLICY = "; ".join((
    "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' blob:", "connect-src 'self'",
    "worker-src 'self'", "manifest-src 'self'", "form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'",
    "require-trusted-types-for 'script'", "trusted-types benchtrail",
))
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=(self), screen-wake-lock=(self), geolocation=(), microphone=(), interest-cohort=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def check_request() -> None:
    """Raises Refused: foreign_site, write_header_missing, not_json, not_a_piece, not_a_zip."""
    if not request.path.startswith("/api/"):
        return
    request.max_content_length = next((most for start, most in LARGER_BODIES if request.path.startswith(start)), BODY_BYTES)
    if request.method in SAFE:
        return
    if request.headers.get("Sec-Fetch-Site", "same-origin") != "same-origin":
        raise Refused("foreign_site")
    if request.headers.get("X-Benchtrail") != "1":
        raise Refused("write_header_missing")
    _check_type()


def _check_type() -> None:
    if request.path.startswith("/api/v1/photos"):
        if request.method == "PATCH" and request.mimetype != PIECE_TYPE:
            raise Refused("not_a_piece", expected=PIECE_TYPE)
    elif request.path == ZIPS:
        if request.mimetype != ZIP_TYPE:
            raise Refused("not_a_zip", expected=ZIP_TYPE)
    elif request.method != "DELETE" and request.mimetype != JSON_TYPE:
        raise Refused("not_json", address=request.path)


def add_headers(response: Response) -> Response:
    """Adds the headers that every answer carries; a route may have set a stricter one."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.path.startswith("/api/"):
        response.headers["Cache-Control"] = "no-store"
        response.headers["Vary"] = "Cookie"
    if request.is_secure:
        response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
    return response


def guard(app: Flask) -> None:
    """Puts both into the app's way."""
    app.before_request(check_request)
    app.after_request(add_headers)
