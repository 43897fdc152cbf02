"""What a picture is by its bytes, and which drawings are refused."""

import io

import pytest
from PIL import Image

from benchtrail.domain.pictures import MOST_PICTURE_BYTES, picture_kind
from benchtrail.domain.refused import Refused

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 9 9">'


def svg(inside: str, before: str = "") -> bytes:
    return f"{before}{HEAD}{inside}</svg>".encode()


def drawn(kind: str) -> bytes:
    """A real picture, made by the imaging library."""
    out = io.BytesIO()
    Image.new("RGB", (8, 8), "white").save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize(("kind", "mime"), [("PNG", "image/png"), ("JPEG", "image/jpeg"), ("WEBP", "image/webp")])
def test_a_photo_is_known_by_its_bytes(kind: str, mime: str) -> None:
    assert picture_kind(drawn(kind)) == mime


@pytest.mark.parametrize("inside", [
    '<path d="M0 0h9"/>', '<g fill="url(#a)"><use href="#b"/><use xlink:href="#b"/></g>',
    "<style>.a{fill:none}</style><text>10 N·m</text>", "<title>Pump</title><desc>Five screws</desc>",
])
def test_a_plain_drawing_is_taken(inside: str) -> None:
    assert picture_kind(svg(inside)) == "image/svg+xml"
    assert picture_kind(svg(inside, '<?xml version="1.0" encoding="UTF-8"?>\n')) == "image/svg+xml"


@pytest.mark.parametrize("inside", [
    "<script>alert(1)</script>", '<path onclick="x()" d="M0 0"/>', '<g OnLoad="x()"/>', '<a href="https://example.org"><path/></a>',
    '<image href="photo.png"/>', '<use href="other.svg#a"/>', '<use xlink:href="data:image/svg+xml;base64,AA"/>',
    "<foreignObject><p/></foreignObject>", "<style>@import 'x.css';</style>", "<style>.a{fill:url(http://x/y)}</style>",
    '<path style="fill:url(https://x/y)" d="M0 0"/>', '<animate attributeName="href" to="x"/>', '<set attributeName="href"/>',
    '<path fill="url( &quot;//x/y&quot; )"/>', '<x:script xmlns:x="http://www.w3.org/2000/svg">alert(1)</x:script>',
])
def test_a_drawing_that_acts_or_fetches_is_refused(inside: str) -> None:
    with pytest.raises(Refused) as refusal:
        picture_kind(svg(inside))
    assert refusal.value.code == "svg_refused"


def test_a_drawing_with_entities_is_refused_before_it_is_read() -> None:
    bomb = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 9}">' for n in range(1, 9))
    with pytest.raises(Refused) as refusal:
        picture_kind(svg("<text>&l8;</text>", f'<!DOCTYPE svg [<!ENTITY l0 "x">{bomb}]>'))
    assert refusal.value.code == "svg_refused"


@pytest.mark.parametrize(("content", "code"), [
    (b"", "picture_unknown_kind"), (b"GIF89a", "picture_unknown_kind"), (b"%PDF-1.7", "picture_unknown_kind"),
    (b"<svg", "svg_unreadable"), (b"<html><body/></html>", "svg_unreadable"), (b"<\xff\xfe>", "svg_unreadable"),
    (b"\x89PNG\r\n\x1a\n", "picture_unknown_kind"), (b"x" * (MOST_PICTURE_BYTES + 1), "picture_too_large"),
    (b'<?xml version="1.0" encoding="UTF-7"?><svg/>', "svg_unreadable"),
    (svg("<g>" * 6000 + "</g>" * 6000), "svg_unreadable"),
])
def test_what_is_no_picture_is_refused(content: bytes, code: str) -> None:
    with pytest.raises(Refused) as refusal:
        picture_kind(content)
    assert refusal.value.code == code


def test_a_photo_that_is_cut_off_is_refused() -> None:
    with pytest.raises(Refused):
        picture_kind(drawn("JPEG")[:-40])
