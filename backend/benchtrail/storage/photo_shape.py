"""Whether a picture file holds the picture and nothing else. Standard library only; knows file structure, no pixels.

A file of this plain shape is kept byte for byte; any other is decoded and written anew. Sources: JPEG, ITU-T T.81
annex B and JFIF 1.02; PNG, W3C Recommendation third edition, clause 5; WebP, RFC 9649, section 2.
"""

import struct
import zlib

# Markers of a JPEG that carry the picture: frame headers, tables, restart interval.
JPEG_TABLES = {0xC4, 0xDB, 0xDD}
JPEG_FRAMES = {0xC0, 0xC1, 0xC2}
PNG_CHUNKS = {b"IHDR", b"PLTE", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"pHYs", b"IDAT", b"IEND"}
WEBP_CHUNKS = {b"VP8 ", b"VP8L", b"ALPH", b"VP8X"}
LARGEST_PROFILE = 16 * 1024


def is_plain(content: bytes) -> bool:
    """True for a JPEG, PNG or WebP without metadata, without further pictures, without anything before or behind."""
    try:
        if content.startswith(b"\xff\xd8"):
            return _plain_jpeg(content)
        if content.startswith(b"\x89PNG\r\n\x1a\n"):
            return _plain_png(content)
        if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
            return _plain_webp(content)
    except (struct.error, IndexError, ValueError):
        return False
    return False


def _plain_jpeg(content: bytes) -> bool:
    place = 2
    while True:
        if content[place] != 0xFF:
            return False
        marker = content[place + 1]
        if marker == 0xD9:
            return place + 2 == len(content)
        length = struct.unpack_from(">H", content, place + 2)[0]
        segment = content[place + 4 : place + 2 + length]
        if not _plain_segment(marker, segment):
            return False
        place += 2 + length
        if marker == 0xDA:
            place = _end_of_scan(content, place)


def _plain_segment(marker: int, segment: bytes) -> bool:
    if marker == 0xE0:
        # A JFIF header with a thumbnail could show another picture.
        return segment.startswith(b"JFIF\0") and len(segment) == 14 and segment[12:14] == b"\0\0"
    if marker == 0xE2:
        return segment.startswith(b"ICC_PROFILE\0\1\1") and len(segment) <= LARGEST_PROFILE
    return marker == 0xDA or marker in JPEG_TABLES or marker in JPEG_FRAMES


def _end_of_scan(content: bytes, place: int) -> int:
    """Where the next marker stands that is neither a stuffed byte nor a restart marker."""
    while True:
        place = content.index(b"\xff", place)
        following = content[place + 1]
        if following == 0 or 0xD0 <= following <= 0xD7:
            place += 2
        elif following == 0xFF:
            place += 1
        else:
            return place


def _plain_png(content: bytes) -> bool:
    place, kind = 8, b""
    while kind != b"IEND":
        length, kind = struct.unpack_from(">I4s", content, place)
        data = content[place + 4 : place + 8 + length]
        if kind not in PNG_CHUNKS or zlib.crc32(data) != struct.unpack_from(">I", content, place + 8 + length)[0]:
            return False
        place += 12 + length
    return place == len(content)


def _plain_webp(content: bytes) -> bool:
    if struct.unpack_from("<I", content, 4)[0] + 8 != len(content):
        return False
    place = 12
    while place < len(content):
        kind, length = struct.unpack_from("<4sI", content, place)
        # In VP8X only the alpha flag may be set: no profile, no EXIF, no XMP, no animation.
        if kind not in WEBP_CHUNKS or (kind == b"VP8X" and content[place + 8] & ~0x10):
            return False
        place += 8 + length + (length & 1)
    return place == len(content)
