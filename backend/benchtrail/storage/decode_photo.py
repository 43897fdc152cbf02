"""A program of its own: reads photo bytes from stdin, decodes them under limits, writes a clean picture to stdout.

Started by photo_cleaner.py as a separate process, so that a hostile file can take down nothing but this process.
Output: one line of JSON, then the picture's bytes. Knows Pillow and limits; nothing of Benchtrail's records.
"""

import io
import json
import sys
from typing import Any

from benchtrail.storage.photo_shape import is_plain

MEMORY_BYTES = 1024 * 1024 * 1024
CPU_S = 20
MOST_PIXELS = 50_000_000
MOST_SIDE = 16_384
FORMATS = {"JPEG": "image/jpeg", "MPO": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
QUALITY = 92


def limit_this_process() -> None:
    """Bounds memory and processor time, and forbids writing files, before any byte of the photo is looked at."""
    try:
        import resource
    except ImportError:  # Windows has no such limits; the parent's time limit still holds
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


class NotShown(Exception):
    """The photo cannot be shown; the code and its values say why."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code)
        self.code, self.values = code, values


def cleaned(content: bytes) -> tuple[dict[str, object], bytes]:
    """Facts and bytes of a picture free of metadata; the same bytes when they hold nothing but the picture."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        picture = Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP"))
    except Image.DecompressionBombError as error:
        raise NotShown("photo_too_many_pixels", most=MOST_PIXELS // 1_000_000) from error
    with picture:
        width, height = picture.size
        if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE:
            raise NotShown("photo_too_many_pixels", most=MOST_PIXELS // 1_000_000)
        picture.load()
        kind = "JPEG" if picture.format == "MPO" else str(picture.format)
        clean = content if is_plain(content) else written_anew(picture, kind)
    width, height = verified(clean)
    return {"mime": FORMATS[kind], "width": width, "height": height}, clean


def written_anew(picture: Any, kind: str) -> bytes:
    """The first frame's pixels, upright, in sRGB or grey, with nothing else."""
    from PIL import ImageOps

    upright = ImageOps.exif_transpose(picture)
    keeps_alpha = kind != "JPEG" and (upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info)
    pixels = upright.convert("RGBA" if keeps_alpha else "L" if upright.mode == "L" else "RGB")
    pixels.info.clear()
    out = io.BytesIO()
    pixels.save(out, kind, **({} if kind == "PNG" else {"quality": QUALITY}))
    return out.getvalue()


def verified(clean: bytes) -> tuple[int, int]:
    """Size of the clean picture, decoded again: what cannot be decoded must not replace anything."""
    from PIL import Image

    with Image.open(io.BytesIO(clean), formats=("JPEG", "PNG", "WEBP")) as picture:
        picture.load()
        if picture.getexif():
            raise NotShown("photo_not_decodable", reason="metadata would remain")
        return (picture.width, picture.height)


def main() -> None:
    limit_this_process()
    content = sys.stdin.buffer.read()
    try:
        facts, clean = cleaned(content)
    except NotShown as refusal:
        facts, clean = {"refused": refusal.code, "values": refusal.values}, b""
    except MemoryError:
        facts, clean = {"refused": "photo_too_costly", "values": {}}, b""
    except Exception as error:  # whatever a decoder raises on hostile bytes is an answer, not a fault of ours
        facts, clean = {"refused": "photo_not_decodable", "values": {"reason": type(error).__name__}}, b""
    sys.stdout.buffer.write(json.dumps(facts).encode() + b"\n" + clean)
