"""What a picture is, by its bytes, and whether a drawing is harmless.

Knows the signatures of four formats and what an SVG may not hold; nothing of files and their places.
"""

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from benchtrail.domain.refused import Refused

MOST_PICTURE_BYTES = 2 * 1024 * 1024
MOST_SVG_ELEMENTS = 5000
_DRAWN = frozenset((
    "svg", "g", "defs", "title", "desc", "metadata", "style", "path", "rect", "circle", "ellipse", "line", "polyline",
    "polygon", "text", "tspan", "use", "symbol", "marker", "clipPath", "mask", "pattern", "linearGradient",
    "radialGradient", "stop", "switch"))
_SVG_SPACE = "{http://www.w3.org/2000/svg}"
_OUTSIDE = re.compile(r"url\(\s*['\"]?(?!#)|@import|expression\(|javascript:|data:", re.IGNORECASE)


def picture_kind(content: bytes) -> str:
    """The MIME type of a picture.

    Raises Refused: picture_too_large, picture_unknown_kind, and for drawings svg_unreadable, svg_refused.
    """
    if len(content) > MOST_PICTURE_BYTES:
        raise Refused("picture_too_large", size_kb=-(-len(content) // 1024), limit_kb=MOST_PICTURE_BYTES // 1024)
    if content.startswith(b"\x89PNG\r\n\x1a\n") and content[12:16] == b"IHDR":
        return "image/png"
    if content.startswith(b"\xff\xd8\xff") and content.rstrip(b"\0").endswith(b"\xff\xd9"):
        return "image/jpeg"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    if content.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        refuse_active_svg(content)
        return "image/svg+xml"
    raise Refused("picture_unknown_kind")


def refuse_active_svg(content: bytes) -> None:
    """Returns for a drawing that does nothing and fetches nothing.

    Raises Refused: svg_unreadable, svg_refused (`found` names what it may not hold).
    """
    # entities could grow without end: no document type at all
    if re.search(rb"<!(?:DOCTYPE|ENTITY)", content, re.IGNORECASE):
        raise Refused("svg_refused", found="a document type")
    if b"<?xml-stylesheet" in content:
        raise Refused("svg_refused", found="a style sheet of its own")
    try:
        root = ElementTree.fromstring(content)
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        raise Refused("svg_unreadable", problem=str(error)[:120]) from None
    elements = list(root.iter())
    if root.tag not in (f"{_SVG_SPACE}svg", "svg") or len(elements) > MOST_SVG_ELEMENTS:
        raise Refused("svg_unreadable", problem="it is no SVG drawing, or it has too many elements")
    found = next((thing for element in elements for thing in _active(element)), None)
    if found is not None:
        raise Refused("svg_refused", found=found)


def _active(element: ElementTree.Element) -> Iterator[str]:
    """What an element holds that acts, or points outside the drawing."""
    name = str(element.tag).removeprefix(_SVG_SPACE)
    if name not in _DRAWN:
        yield f"<{name.rpartition('}')[2]}>"
    for key, value in element.attrib.items():
        plain = key.rpartition("}")[2].lower()
        if plain.startswith("on"):
            yield f"{plain}="
        if plain in ("href", "src") and not value.startswith("#"):
            yield f"{plain}={value[:40]}"
        if _OUTSIDE.search(value):
            yield f"{plain}={value[:40]}"
    if name == "style" and _OUTSIDE.search("".join(element.itertext())):
        yield "a style that points outside"
