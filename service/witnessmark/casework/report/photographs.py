"""Photographs of a report: decoded, bounded, turned upright, and written anew, so that no metadata is left."""

from __future__ import annotations

import io

from PIL import Image, ImageOps, UnidentifiedImageError

from witnessmark.casework.report.blocks import Picture
from witnessmark.casework.report.free_text import line
from witnessmark.errors import InputError

LARGEST, MOST_PIXELS, SIDE = 500_000, 25_000_000, 1000
"""Bytes of one photograph, pixels it may have, longest side at which it is kept."""
FORMATS = ("JPEG", "PNG")


def photograph(content: bytes, caption: str, alt: str, field: str) -> Picture:
    """The photograph without anything but its pixels.

    Raises InputError naming `field` for what is too large, has too many pixels or is no JPEG or PNG.
    """
    if len(content) > LARGEST:
        raise InputError(field, "too large", f"at most {LARGEST} bytes")
    try:
        with Image.open(io.BytesIO(content), formats=FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise InputError(field, "too many pixels", f"at most {MOST_PIXELS}")
            upright = ImageOps.exif_transpose(_small(opened)).convert("RGB")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise InputError(field, "no picture that can be read", "a whole JPEG or PNG") from None
    clean = Image.new("RGB", upright.size)
    clean.paste(upright)
    kept = io.BytesIO()
    clean.save(kept, "PNG")
    return Picture(line(alt, 300), line(caption, 300), kept.getvalue())


def _small(opened: Image.Image) -> Image.Image:
    """The picture at the size at which it is kept, before anything else is done to all of its pixels."""
    opened.draft("RGB", (2 * SIDE, 2 * SIDE))  # a JPEG is not decoded finer than that
    whole = opened.convert("RGB") if opened.mode in ("P", "1") else opened
    whole.thumbnail((SIDE, SIDE), reducing_gap=2.0)
    return whole
