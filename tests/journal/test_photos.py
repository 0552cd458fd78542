"""Copies of photos for publishing: pixels alone, whatever the camera wrote beside them."""

import base64
import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from journal.book import attachments, store
from journal.errors import BadInput, Refused
from journal.publish import photos

SECRET = b"Windle Fold, 12 Hollow Lane"


def scene(size=(640, 480)):
    """A picture with many colours: red at the upper left, blue at the lower right."""
    x, y = np.meshgrid(np.linspace(1, 0, size[0]), np.linspace(1, 0, size[1]))
    noise = np.random.default_rng(7).integers(0, 30, (size[1], size[0]))
    pixels = np.stack([200 * x * y, noise, 200 * (1 - x) * (1 - y)], axis=-1)
    return Image.fromarray(pixels.astype(np.uint8))


def encoded(image, form="JPEG", **how):
    """The bytes of a file."""
    out = io.BytesIO()
    image.save(out, form, **how)
    return out.getvalue()


def exif(orientation):
    """EXIF as cameras write it: orientation, maker, a GPS directory, and a thumbnail in a second directory."""
    thumb = encoded(scene((160, 120)), comment=SECRET)
    entries = 3
    maker_at = 8 + 2 + 12 * entries + 4
    gps_at = maker_at + 28
    ifd1_at = gps_at + 2 + 12 * 2 + 4
    thumb_at = ifd1_at + 2 + 12 * 3 + 4
    ifd0 = struct.pack(">H", entries) + b"".join([
        struct.pack(">HHII", 0x010F, 2, 28, maker_at),
        struct.pack(">HHIHH", 0x0112, 3, 1, orientation, 0),
        struct.pack(">HHII", 0x8825, 4, 1, gps_at),
    ]) + struct.pack(">I", ifd1_at)  # fmt: skip
    gps = struct.pack(">H", 2) + struct.pack(">HHI4s", 1, 2, 2, b"N\0\0\0") + struct.pack(">HHI4s", 3, 2, 2, b"W\0\0\0")
    ifd1 = struct.pack(">H", 3) + b"".join([
        struct.pack(">HHIHH", 0x0103, 3, 1, 6, 0),
        struct.pack(">HHII", 0x0201, 4, 1, thumb_at),
        struct.pack(">HHII", 0x0202, 4, 1, len(thumb)),
    ]) + struct.pack(">I", 0)  # fmt: skip
    tiff = b"MM\0*" + struct.pack(">I", 8) + ifd0 + SECRET.ljust(28, b"\0") + gps + struct.pack(">I", 0) + ifd1 + thumb
    return b"Exif\0\0" + tiff


def segment(kind, body):
    """A marker segment of JPEG."""
    return bytes([0xFF, kind]) + struct.pack(">H", len(body) + 2) + body


def from_a_camera(orientation=1, image=None):
    """A JPEG with everything that a telephone and its programs write into one."""
    bare = encoded(image or scene(), quality=92)
    told = [
        (0xE1, exif(orientation)),
        (0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>" + SECRET + b"</x:xmpmeta>"),
        (0xED, b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\0\0\x1b" + SECRET),
        (0xFE, SECRET),
    ]
    return bare[:2] + b"".join(segment(*one) for one in told) + bare[2:] + b"after the end: " + SECRET


def test_the_camera_of_these_tests_tells_all():
    """Else the others would prove nothing: a place, a turned picture, XMP and a thumbnail are there to be found."""
    with Image.open(io.BytesIO(from_a_camera(6))) as image:
        told = image.getexif()
        assert told[0x0112] == 6
        assert told.get_ifd(0x8825)[1] == "N"
        assert image.getxmp is not None
        assert SECRET in image.info["xmp"]
    assert from_a_camera().count(SECRET) == 6


@pytest.mark.parametrize("orientation", range(1, 9))
def test_nothing_but_pixels_is_published(orientation):
    """No word of it is in the copy, and a program that asks finds nothing."""
    copy = photos.clean(from_a_camera(orientation), "X3")
    assert [w for w in (SECRET, b"Exif", b"xmpmeta", b"Photoshop", b"8BIM", b"ICC_PROFILE") if w in copy.data] == []
    assert copy.data.endswith(b"\xff\xd9")
    assert copy.data.count(b"\xff\xd8\xff") == 1
    with Image.open(io.BytesIO(copy.data)) as image:
        image.load()
        assert dict(image.getexif()) == {}
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


#: What turns a picture as stored into one upright, by EXIF orientation (CIPA DC-008, tag 0x0112).
UPRIGHT = {
    1: lambda i: i,
    2: lambda i: i.transpose(Image.Transpose.FLIP_LEFT_RIGHT),
    3: lambda i: i.transpose(Image.Transpose.ROTATE_180),
    4: lambda i: i.transpose(Image.Transpose.FLIP_TOP_BOTTOM),
    5: lambda i: i.transpose(Image.Transpose.TRANSPOSE),
    6: lambda i: i.transpose(Image.Transpose.ROTATE_90),
    7: lambda i: i.transpose(Image.Transpose.TRANSVERSE),
    8: lambda i: i.transpose(Image.Transpose.ROTATE_270),
}


@pytest.mark.parametrize("orientation", UPRIGHT)
def test_it_stands_upright(orientation):
    """However the camera was held: red at the upper left, blue at the lower right, wider than high."""
    copy = photos.clean(from_a_camera(orientation, UPRIGHT[orientation](scene())), "X3")
    assert (copy.width, copy.height) == (640, 480)
    with Image.open(io.BytesIO(copy.data)) as image:
        red, _, blue = image.getpixel((5, 5))
        assert red > 150 > blue + 50
        red, _, blue = image.getpixel((634, 474))
        assert blue > 150 > red + 50


def test_it_is_scaled_and_named_neutrally():
    """At most 1600 pixels, named after its reference, never larger than it was."""
    copy = photos.clean(encoded(scene((2400, 1200))), "X12")
    assert (copy.name, copy.width, copy.height, copy.media_type) == ("photo-x12.jpg", 1600, 800, "image/jpeg")
    assert photos.clean(encoded(scene((300, 200))), "X1").width == 300


def drawing(mode="RGB"):
    """A plan in two colours, with words hidden beside it."""
    image = Image.new("RGB", (200, 100), "white")
    image.paste(Image.new("RGB", (50, 100), "black"), (20, 0))
    image = image.convert(mode)
    told = PngImagePlugin.PngInfo()
    told.add_text("Comment", SECRET.decode())
    told.add_itxt("XML:com.adobe.xmp", SECRET.decode())
    return encoded(image, "PNG", pnginfo=told, exif=exif(1), dpi=(300, 300))


@pytest.mark.parametrize("mode", ["RGB", "L", "P", "1"])
def test_drawings_stay_sharp_and_lose_their_words(mode):
    """PNG again, with its pixels alone."""
    assert SECRET in drawing(mode)
    copy = photos.clean(drawing(mode), "X4")
    assert (copy.name, copy.media_type) == ("photo-x4.png", "image/png")
    assert SECRET not in copy.data
    with Image.open(io.BytesIO(copy.data)) as image:
        assert image.info == {}
        assert image.convert("L").getpixel((30, 50)) == 0


def test_a_colour_profile_is_used_and_left_behind():
    """Colours that are meant as every screen takes them stay as they are (sRGB to sRGB)."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    copy = photos.clean(encoded(scene(), "PNG", icc_profile=profile), "X4")
    with Image.open(io.BytesIO(copy.data)) as image:
        assert "icc_profile" not in image.info
        assert np.abs(np.asarray(image, dtype=int) - np.asarray(scene(), dtype=int)).mean() < 6


def test_what_is_transparent_stays_so():
    """As PNG, whatever the number of colours."""
    image = scene()
    image.putalpha(Image.linear_gradient("L").resize(image.size))
    copy = photos.clean(encoded(image, "PNG"), "X5")
    with Image.open(io.BytesIO(copy.data)) as again:
        assert again.mode == "RGBA"
        assert again.getextrema()[3][0] < 10


@pytest.mark.parametrize("form", ["WEBP", "GIF", "TIFF", "BMP"])
def test_other_kinds_become_one_that_every_browser_shows(form):
    """JPEG or PNG."""
    assert photos.clean(encoded(scene(), form), "X6").media_type in ("image/jpeg", "image/png")


def bomb():
    """A PNG of few bytes that claims 900 million pixels."""

    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


#: Made when they are tried.
WRONG = {
    "text": lambda: b"volts,amps\n1,2\n",
    "empty": lambda: b"",
    "cut off": lambda: from_a_camera()[:9000],
    "svg": lambda: b"<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>",
    "pdf": lambda: b"%PDF-1.7\n",
    "eps": lambda: b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n",
    "bomb": bomb,
    "large": lambda: encoded(Image.new("1", (12_000, 11_000)), "PNG"),
}


@pytest.mark.parametrize("make", WRONG.values(), ids=WRONG)
def test_what_is_no_picture_is_refused(make):
    """With words that name the attachment, and nothing unpacked."""
    with pytest.raises(BadInput, match="X7"):
        photos.clean(make(), "X7")


@pytest.mark.parametrize(
    "make",
    [
        from_a_camera,
        lambda: encoded(scene(), comment=SECRET),
        lambda: encoded(scene()) + b"more",
        lambda: encoded(scene(), icc_profile=b"x" * 200),
        drawing,
        lambda: encoded(Image.new("RGB", (9, 9)), "PNG") + b"more",
    ],
    ids=["camera", "comment", "trailer", "profile", "words in PNG", "trailer of PNG"],
)
def test_a_copy_is_looked_through_before_it_is_given_out(make):
    """Were anything left in it, it would be refused."""
    with pytest.raises(Refused, match="more than its pixels"):
        photos._verify(make(), "X8")


def test_in_a_page_it_is_small():
    """Within the limit, and the same picture."""
    big = photos.clean(encoded(scene((1600, 1200)), quality=95), "X9")
    uri = photos.data_uri(big, 60_000)
    head, _, body = uri.partition(",")
    assert head == "data:image/jpeg;base64"
    data = base64.b64decode(body)
    assert 1000 < len(data) <= 60_000 < len(big.data)
    with Image.open(io.BytesIO(data)) as image:
        assert image.width / image.height == pytest.approx(4 / 3, abs=0.01)


def test_a_page_that_allows_too_little_is_told():
    """Rather than shown a picture of nothing."""
    with pytest.raises(BadInput, match="smaller"):
        photos.data_uri(photos.clean(encoded(scene()), "X9"), 100)


@pytest.mark.parametrize("private", [False, True])
def test_an_attachment_is_published_unless_it_is_private(path, tmp_path, private):
    """Under its reference; its own file name, which may tell a name or a day, stays behind."""
    file = tmp_path / "IMG_2026-01-08_Odo_at_home.jpg"
    file.write_bytes(from_a_camera())
    with store.journal(path, write=True) as s:
        kept = attachments.attach(s, file, "r1", private=private)
        where = attachments.stored_at(s, kept)
        if private:
            with pytest.raises(Refused, match="private"):
                photos.publish(kept, where)
        else:
            assert photos.publish(kept, where).name == "photo-x1.jpg"


def test_a_copy_that_is_gone_is_told(path, tmp_path):
    """Not as a page of Python."""
    file = tmp_path / "a.jpg"
    file.write_bytes(from_a_camera())
    with store.journal(path, write=True) as s:
        kept = attachments.attach(s, file, "r1")
        with pytest.raises(BadInput, match="X1 is not there as it was copied"):
            photos.publish(kept, tmp_path / "gone.jpg")


def test_every_copy_is_looked_through(monkeypatch):
    """Were a word left in its pixels' keeper, nothing would be given out."""
    plain = photos._pixels

    def leaky(*given):
        pixels = plain(*given)
        pixels.info["comment"] = SECRET
        return pixels

    monkeypatch.setattr(photos, "_pixels", leaky)
    with pytest.raises(Refused, match="more than its pixels"):
        photos.clean(encoded(scene()), "X8")


def test_copies_are_packed_as_small_as_they_go():
    """Smaller than the same pixels saved without care."""
    photo, plan = photos.clean(encoded(scene()), "X1"), photos.clean(drawing(), "X2")
    with Image.open(io.BytesIO(photo.data)) as image:
        image.load()
        assert len(photo.data) < len(encoded(image, quality=85))
    with Image.open(io.BytesIO(plan.data)) as image:
        image.load()
        assert len(plan.data) < len(encoded(image, "PNG"))


def test_a_photo_with_few_colours_counts_as_a_drawing():
    """Up to a thousand and twenty-four."""
    y = np.arange(32 * 33).reshape(33, 32)
    for rows, kind in ((32, "png"), (33, "jpeg")):
        colours = np.stack([y[:rows] % 256, y[:rows] // 256, 0 * y[:rows]], axis=-1).astype(np.uint8)
        assert photos.clean(encoded(Image.fromarray(colours), "PNG"), "X1").media_type == f"image/{kind}"


def test_an_opaque_picture_with_room_for_transparency_is_a_photo():
    """All of it opaque: JPEG, which is smaller."""
    image = scene()
    image.putalpha(255)
    assert photos.clean(encoded(image, "PNG"), "X5").media_type == "image/jpeg"
