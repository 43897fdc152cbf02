"""Public files in gzip for those who take it. Knows encodings; only for what everyone may read.

Answers that hold anything private are never compressed: their length would tell about their content.
"""

import gzip
from functools import lru_cache

from flask import Response, request

WORTH_IT = 1024
COMPRESSIBLE = ("text/", "application/json", "application/manifest+json", "image/svg+xml")


def compressed(response: Response) -> Response:
    """The answer in gzip when the client takes it and it is worth it. Source: RFC 9110, section 8.4."""
    response.vary.add("Accept-Encoding")
    kind = response.mimetype or ""
    if response.status_code != 200 or not kind.startswith(COMPRESSIBLE) or not request.accept_encodings["gzip"]:
        return response
    response.direct_passthrough = False
    content = response.get_data()
    if len(content) < WORTH_IT:
        return response
    response.set_data(_packed(content))
    response.headers["Content-Encoding"] = "gzip"
    tag, _ = response.get_etag()
    if tag:
        response.set_etag(f"{tag}-gzip")
    return response


@lru_cache(maxsize=128)
def _packed(content: bytes) -> bytes:
    return gzip.compress(content, 9, mtime=0)
