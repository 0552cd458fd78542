"""Pictures and photos set into a write-up: beside Markdown, inside HTML, and none where none may be."""

from types import SimpleNamespace

import pytest

from journal.errors import BadInput
from journal.publish import figures, inlays, photos
from journal.publish.photos import Photo
from journal.publish.readers import Reader

ALL = Reader(pictures=lambda name: True)
#: As far as pictures are concerned: a story of two revisions.
TOLD = SimpleNamespace(
    story=SimpleNamespace(
        chapters=[SimpleNamespace(revision=SimpleNamespace(ref=r), failed=[], tried=[]) for r in ("r1", "r2")]
    )
)
NO_POWER = Reader(pictures=lambda name: name != "power", built_only=True)


class Drawn(SimpleNamespace):
    """A picture of which nothing is drawn."""

    png = b"png"
    uri = "data:drawn"
    slender = 1.0


@pytest.fixture
def asked(monkeypatch):
    """What is asked of the pictures: torque gives two, everything else one."""
    asked = []

    def named(told, entry, *, built_only=False, about=""):
        asked.append((entry, built_only))
        names = ("torque-r1", "torque-r2") if entry == "torque" else (entry,)
        return [Drawn(name=n, title=f"Title <{n}>", alt=f'Alt "{n}"') for n in names]

    monkeypatch.setattr(figures, "pictures_named", named)
    return asked


def test_beside_markdown_pictures_are_files(asked):
    """Linked with what they show; made once, however often they stand."""
    one = inlays.Inlays(TOLD, ALL, "md", "pictures")
    assert str(one.picture("power")) == '![Alt "power"](pictures/power.png)'
    assert str(one.picture("torque")).split("\n\n") == [
        '![Alt "torque-r1"](pictures/torque-r1.png)', '![Alt "torque-r2"](pictures/torque-r2.png)',
    ]  # fmt: skip
    assert str(one.picture("torque-r2")) == '![Alt "torque-r2"](pictures/torque-r2.png)'
    with pytest.raises(LookupError, match="torque-r3"):
        one.picture("torque-r3")
    assert asked == [("power", False), ("torque", False)]
    assert one.files == dict.fromkeys(["power.png", "torque-r1.png", "torque-r2.png"], b"png")


def test_inside_html_pictures_take_their_places(asked):
    """A token while the text is cleaned, the picture with its caption afterwards."""
    one = inlays.Inlays(TOLD, ALL, "html", None)
    body = "".join(f"<p>{one.picture(name)}</p>" for name in ("power", "week"))
    assert body == "<p>GALEBOOKINLAY0</p><p>GALEBOOKINLAY1</p>"
    assert one.into(body + "<p> GALEBOOKINLAY7 </p>") == "".join(
        f'<figure><img src="data:drawn" alt="Alt &quot;{n}&quot;"><figcaption>Title &lt;{n}&gt;</figcaption></figure>'
        for n in ("power", "week")
    )
    assert one.files == {}


def test_some_readers_get_some_pictures(asked):
    """Those that are theirs, of what stands where they see nothing else; nothing by a name that begins like another."""
    one = inlays.Inlays(TOLD, NO_POWER, "md", "pictures")
    assert str(one.picture("power")) == ""
    with pytest.raises(LookupError, match="powerful"):
        one.picture("powerful")
    assert str(one.picture("week")) != ""
    assert asked == [("week", True)]


def test_without_a_place_there_are_none(asked):
    """Markdown on a screen has no folder beside it."""
    assert str(inlays.Inlays(TOLD, ALL, "md", None).picture("power")) == ""
    assert asked == []


def photographed(monkeypatch, tmp_path, form="md", folder="pictures"):
    """Inlays with two attachments kept, and photos that are not looked into."""
    told = SimpleNamespace(photos={"X1": tmp_path / "a", "X3": tmp_path / "c"})
    shot = Photo("photo-x1.jpg", b"jpg", "image/jpeg", 4, 3)
    monkeypatch.setattr(photos, "publish", lambda a, file: shot)
    return inlays.Inlays(told, ALL, form, folder)


def attached(ref="X1", kind="image/jpeg", caption="the hub", private=False):
    """One attachment."""
    return SimpleNamespace(ref=ref, media_type=kind, caption=caption, private=private, filename="a_b.jpg")


def test_photos_beside_markdown(monkeypatch, tmp_path):
    """A file with its caption, or its reference where it has none."""
    one = photographed(monkeypatch, tmp_path)
    assert str(one.photo(attached())) == "![the hub](pictures/photo-x1.jpg)"
    assert str(one.photo(attached(caption=None))) == "![X1](pictures/photo-x1.jpg)"
    assert one.files == {"photo-x1.jpg": b"jpg"}


def test_photos_inside_html(monkeypatch, tmp_path):
    """With a caption where there is one, and words for those who cannot see it in any case."""
    one = photographed(monkeypatch, tmp_path, "html", None)
    body = f"<p>{one.photo(attached())}</p><p>{one.photo(attached(caption=None))}</p>"
    assert one.into(body) == (
        '<figure><img src="data:image/jpeg;base64,anBn" alt="the hub"><figcaption>the hub</figcaption></figure>'
        '<figure><img src="data:image/jpeg;base64,anBn" alt="Photo X1"></figure>'
    )
    assert one.files == {}


@pytest.mark.parametrize(
    ("attachment", "folder", "text"),
    [
        (attached(private=True), "pictures", ""),
        (attached("X2"), "pictures", r"File X2: a\_b.jpg (the hub)."),
        (attached(kind="text/csv"), "pictures", r"File X1: a\_b.jpg (the hub)."),
        (attached(kind="text/csv", caption=None), "pictures", r"File X1: a\_b.jpg."),
        (attached(), None, r"File X1: a\_b.jpg (the hub)."),
    ],
    ids=["private", "not kept", "a table", "without caption", "no folder"],
)
def test_what_is_no_photo_is_named(monkeypatch, tmp_path, attachment, folder, text):
    """And what is private is not even that."""
    one = photographed(monkeypatch, tmp_path, "md", folder)
    assert str(one.photo(attachment)) == text
    assert one.files == {}


@pytest.mark.parametrize("error", [BadInput("damaged"), OSError("gone")])
def test_a_photo_that_cannot_be_opened_is_named(monkeypatch, tmp_path, error):
    """Like any other file."""
    one = photographed(monkeypatch, tmp_path)

    def fail(*_):
        raise error

    monkeypatch.setattr(photos, "publish", fail)
    assert str(one.photo(attached())) == r"File X1: a\_b.jpg (the hub)."
