"""Photos as a phone's camera writes them: JPEG, with make, time and place in their metadata."""

from __future__ import annotations

import io
import random

from PIL import Image, ImageDraw, ImageFilter


def jpeg_photo(seed: int, width: int = 2400, height: int = 1800) -> bytes:
    """A JPEG of invented shapes under noise, orientation 6, with GPS data that must not travel."""
    chance = random.Random(seed)
    noise = Image.effect_noise((width // 4, height // 4), 60).resize((width, height)).convert("RGB")
    picture = ImageDraw.Draw(noise)
    for _ in range(40):
        x, y, r = chance.randrange(width), chance.randrange(height), chance.randrange(20, 300)
        colour = tuple(chance.randrange(256) for _ in range(3))
        picture.ellipse([x - r, y - r, x + r, y + r], fill=colour, outline="black", width=6)
    exif = Image.Exif()
    exif[0x010F] = "Invented Camera Works"
    exif[0x0112] = 6
    exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 30.0, 15.0), 3: "W", 4: (2.0, 40.0, 30.0)})
    out = io.BytesIO()
    noise.filter(ImageFilter.GaussianBlur(1)).save(out, "JPEG", quality=90, exif=exif)
    return out.getvalue()
