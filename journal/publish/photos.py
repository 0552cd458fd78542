"""Copies of attached photos for publishing: the pixels and nothing else.

A telephone writes into each photo where and when it was taken, with what, and often a small picture of what was cut
off. None of that is copied: the pixels are put into a new file, which is opened again and looked through.
"""

from __future__ import annotations

import base64
import io
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from journal.book.attachments import is_copy
from journal.book.tables import Attachment
from journal.errors import BadInput, Refused

if TYPE_CHECKING:
    from PIL.Image import Image

#: Longest edge of a published photo. [pixels]
LONGEST = 1600
#: More than any telephone takes; a file that claims more is meant to fill the memory. [pixels]
MOST_PIXELS = 120_000_000
#: More than any picture has that cannot be made smaller while it is read, as a JPEG can. [pixels]
MOST_AT_ONCE = 60_000_000
#: Pixels from which a picture is made smaller before anything else is done with it, as each step copies them.
_LARGE = 16_000_000
#: Bytes of a photo inside a page.
IN_PAGE = 250_000
FORMATS = ("JPEG", "PNG", "WEBP", "GIF", "TIFF", "BMP")
#: Colours up to which a picture counts as a drawing, which PNG keeps sharp.
FEW_COLOURS = 1024
_ACCEPTED = "Accepted: JPEG, PNG, WebP, GIF, TIFF or BMP, up to 60 million pixels, or JPEG up to 120 million"
#: What may stand in a published file: marker segments of JPEG, chunks of PNG.
_JPEG_ALLOWED = {0xE0, 0xDB, 0xC0, 0xC2, 0xC4, 0xDD, 0xDA}
_PNG_ALLOWED = {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"}


@dataclass(frozen=True)
class Photo:
    """A copy for publishing.

    Parameters
    ----------
    name : str
        Neutral file name, after the attachment's reference, such as ``photo-x3.jpg``.
    data : bytes
        The file.
    media_type : str
        ``image/jpeg`` or ``image/png``.
    width, height : int
        Size. [pixels]
    """

    name: str
    data: bytes
    media_type: str
    width: int
    height: int


def publish(attachment: Attachment, file: Path) -> Photo:
    """The copy of an attached photo that may leave the house.

    Parameters
    ----------
    attachment : Attachment
        The record; its caption is the caller's to print, its file name is not.
    file : Path
        Where the copy in the journal is, see :func:`journal.book.attachments.stored_at`.

    Raises
    ------
    Refused
        If the attachment is private.
    BadInput
        If the file is no picture, too large a picture, or cannot be read.
    """
    if attachment.private:
        raise Refused(f"{attachment.ref} is private", f"Change that first: galebook amend {attachment.ref} private no")
    if not is_copy(file):
        raise BadInput(f"{attachment.ref} is not there as it was copied", "See: galebook doctor")
    try:
        return clean(file.read_bytes(), attachment.ref)
    except OSError as e:
        raise BadInput(f"{attachment.ref} cannot be read ({e.strerror})", "See: galebook doctor") from e


def clean(data: bytes, ref: str, longest: int = LONGEST) -> Photo:
    """A picture upright, at most so large, with its pixels and nothing else.

    Parameters
    ----------
    data : bytes
        The file as it is.
    ref : str
        What the copy is named after.
    longest : int
        Longest edge. [pixels]

    Raises
    ------
    BadInput
        If it is no picture, too large a picture, or damaged.
    """
    pixels = _pixels(data, ref, longest)
    drawing = pixels.mode == "RGBA" or pixels.getcolors(FEW_COLOURS) is not None
    out = io.BytesIO()
    if drawing:
        pixels.save(out, "PNG", optimize=True)
    else:
        pixels.save(out, "JPEG", quality=85, optimize=True)
    made = out.getvalue()
    _verify(made, ref)
    kind = "png" if drawing else "jpeg"
    name = f"photo-{ref.lower()}.{'png' if drawing else 'jpg'}"
    return Photo(name, made, f"image/{kind}", pixels.width, pixels.height)


def data_uri(photo: Photo, limit: int = IN_PAGE) -> str:
    """A photo as a data URI for a page that fetches nothing, made smaller until it is within a limit.

    Parameters
    ----------
    photo : Photo
        The copy for publishing.
    limit : int
        Bytes of the picture itself; the text is a third longer.

    Raises
    ------
    BadInput
        If it cannot be made so small.
    """
    edge, small = max(photo.width, photo.height), photo
    while len(small.data) > limit:
        edge = int(edge * 0.75)
        if edge < 64:
            raise BadInput(f"{photo.name} cannot be made smaller than {limit} bytes", "Allow more bytes")
        small = clean(photo.data, photo.name, edge)
    return f"data:{small.media_type};base64,{base64.b64encode(small.data).decode()}"


def _pixels(data: bytes, ref: str, longest: int) -> Image:
    """The pixels alone, upright and scaled, as a new picture that knows nothing of the file."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            # Our own limit decides; what else is odd about a file does not matter, as only its pixels are used.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise BadInput(f"{ref} has {opened.width} x {opened.height} pixels", _ACCEPTED)
                opened.draft("RGB", (longest, longest))
                if opened.width * opened.height > MOST_AT_ONCE:
                    raise BadInput(f"{ref} has {opened.width} x {opened.height} pixels", _ACCEPTED)
                if opened.width * opened.height > _LARGE and opened.mode in ("L", "RGB", "RGBA"):
                    opened.thumbnail((longest, longest), Image.Resampling.LANCZOS)
                upright = ImageOps.exif_transpose(opened)
                coloured = _plain_colours(upright)
                coloured.thumbnail((longest, longest), Image.Resampling.LANCZOS)
                return Image.frombytes(coloured.mode, coloured.size, coloured.tobytes())
    except UnidentifiedImageError as e:
        raise BadInput(f"{ref} is not a picture that can be read", _ACCEPTED) from e
    except Image.DecompressionBombError as e:
        raise BadInput(f"{ref} claims more pixels than any camera takes", _ACCEPTED) from e
    except (OSError, SyntaxError, ValueError, EOFError) as e:
        raise BadInput(f"{ref} is damaged or not a picture", _ACCEPTED) from e


def _plain_colours(image: Image) -> Image:
    """As red, green and blue as every screen takes them; with transparency where something is transparent."""
    from PIL import ImageCms

    profile = image.info.get("icc_profile")
    see_through = image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info
    wanted = "RGBA" if see_through else "RGB"
    if profile and image.mode == "RGB":
        # The profile does not go along, so colours are turned into those that are meant where there is none.
        try:
            return ImageCms.profileToProfile(  # type: ignore[return-value]
                image, ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except ImageCms.PyCMSError:
            pass
    made = image.convert(wanted)
    if see_through and made.getchannel("A").getextrema() == (255, 255):
        return made.convert("RGB")
    return made


def _verify(data: bytes, ref: str) -> None:
    """Look through a finished file for anything but pixels.

    Raises
    ------
    Refused
        If there is something.
    """
    from PIL import Image

    with Image.open(io.BytesIO(data)) as image:
        image.load()
        told = set(image.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density", "transparency"}
        found = bool(image.getexif()) or bool(told)
    strange = _strange_png(data) if data.startswith(b"\x89PNG") else _strange_jpeg(data)
    if found or strange:
        raise Refused(f"The copy of {ref} holds more than its pixels", "It is not published")


def _strange_png(data: bytes) -> bool:
    at = 8
    kinds = []
    while at + 8 <= len(data):
        kinds.append(data[at + 4 : at + 8])
        at += 12 + int.from_bytes(data[at : at + 4])
    return at != len(data) or not set(kinds) <= _PNG_ALLOWED


def _strange_jpeg(data: bytes) -> bool:
    segments = list(_segments(data))
    jfif = [len(body) for kind, body in segments if kind == 0xE0]
    # A thumbnail may hide behind the fourteen bytes of JFIF, and anything after the end of the picture.
    return not {k for k, _ in segments} <= _JPEG_ALLOWED or any(n > 14 for n in jfif) or not data.endswith(b"\xff\xd9")


def _segments(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Marker segments of a JPEG file up to its pixels."""
    at = 2
    while at + 4 <= len(data):
        kind, size = data[at + 1], int.from_bytes(data[at + 2 : at + 4])
        yield kind, data[at + 4 : at + 2 + size]
        if kind == 0xDA:
            return
        at += 2 + size
