"""The HTML write-ups in a browser: nothing fetched, pictures seen, nothing wider than the screen, no axe-core fault.

Sources: axe-core's rules of the tags wcag2a and wcag2aa (the W3C's Web Content Accessibility Guidelines 2). Without a
browser on the machine these tests are skipped.
"""

import io
import re
import shutil

import numpy as np
import pypdfium2
import pytest

from tests.journal.test_writeup import HOSTILE, READERS, _everywhere, render

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SIZES = {"phone": (360, 740), "desktop": (1280, 900)}


@pytest.fixture(scope="module")
def browser():
    """One browser for all tests of this file."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as p:
        running = p.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield running
        running.close()


@pytest.fixture
def page_of(browser):
    """Opens a file; gives the page and the addresses that it asked for."""
    opened = []

    def of(path, size=(1280, 900), **how):
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **how)
        opened.append(context)
        page = context.new_page()
        asked, said = [], []
        page.on("request", lambda request: asked.append(request.url))
        page.on("dialog", lambda dialog: said.append(dialog.message) or dialog.dismiss())
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(path.as_uri(), wait_until="load")
        return page, asked, said

    yield of
    for context in opened:
        context.close()


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_a_page_is_whole_by_itself(told, page_of, reader, size):
    """It asks for nothing but itself, says nothing on the console, shows its pictures, and fits the screen."""
    path = told / f"{reader}.html"
    page, asked, said = page_of(path, size)
    assert [a for a in asked if not a.startswith("data:image/")] == [path.as_uri()]
    assert said == []
    pictures = page.evaluate("[...document.images].map(i => [i.complete, i.naturalWidth, i.clientWidth, i.alt.length])")
    assert len(pictures) >= {"neighbour": 1, "raising": 0, "storm": 0}.get(reader, 6)
    assert all(done and natural > 0 and shown > 100 and alt > 20 for done, natural, shown, alt in pictures)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.parametrize("reader", READERS)
def test_a_printed_page_loses_nothing(told, page_of, reader):
    """Tables are as wide as the sheet allows, and no picture is wider than the page."""
    page, _, _ = page_of(told / f"{reader}.html", (794, 1123))
    page.emulate_media(media="print")
    wide = page.evaluate(
        "[...document.querySelectorAll('table, img')].filter(e => e.scrollWidth > document.body.clientWidth + 1).length"
    )
    assert wide == 0
    assert page.pdf(format="A4").startswith(b"%PDF")


#: Letters of pictures are of 16 points on a sheet 7.2 inches wide.
_LETTERS = "[...document.images].filter(i => i.alt.startsWith('One line from')).map(i => 16 / 518.4 * i.width)"


@pytest.mark.parametrize("reader", ["workshop", "forum"])
def test_the_wiring_can_be_read_on_paper_and_on_a_telephone(told, page_of, reader):
    """No letter below 7 points in print on A4, nor below 10 pixels on a screen 390 wide."""
    # A4 less the margins of 12 mm that the pages ask for, at 96 pixels an inch.
    page, _, _ = page_of(told / f"{reader}.html", (703, 1030))
    page.emulate_media(media="print")
    (printed,) = page.evaluate(_LETTERS)
    assert printed * 0.75 >= 7.0
    small, _, _ = page_of(told / f"{reader}.html", (390, 844))
    (shown,) = small.evaluate(_LETTERS)
    assert shown >= 10.0


def test_the_drawn_wiring_can_be_read_on_a_telephone(story, run, page_of, tmp_path):
    """It is written upright too, as wide as a screen of 390 with letters of 10 pixels or more."""
    assert run("draw", "wiring", "r2", "--as", "svg", "--to", str(tmp_path)).code == 0
    page, _, _ = page_of(tmp_path / "wiring-r2-phone.svg", (390, 844), is_mobile=True)
    wide, shown = page.evaluate("[document.documentElement.getBoundingClientRect().width, visualViewport.scale]")
    # Letters of 16 points on 7.2 inches, as the browser shows the whole.
    assert 16.0 / 518.4 * wide * shown >= 10.0
    assert wide * shown <= 391.0


def filled(data):
    """How far down each page of a print something stands, as a share of its height."""
    document = pypdfium2.PdfDocument(io.BytesIO(data))
    shares = []
    for page in document:
        dots = page.render(scale=1, grayscale=True).to_numpy()
        rows = np.flatnonzero((dots.reshape(dots.shape[:2]) < 140).any(axis=1))
        shares.append((rows[-1] + 1) / dots.shape[0])
    document.close()
    return shares


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_forum_page_prints_on_few_and_full_pages(told, page_of, size):
    """No page but the last ends in its upper half, and the last is more than a few lines."""
    page, _, _ = page_of(told / "forum.html", (794, 1123))
    shares = filled(page.pdf(format=size, prefer_css_page_size=True))
    assert len(shares) <= 5
    assert min(shares[:-1]) > 0.7
    assert shares[-1] > 0.2


@pytest.mark.parametrize("reader", ["raising", "storm"])
def test_a_table_without_heads_has_no_empty_row_on_top(told, page_of, reader):
    """On a phone it was seen as a grey bar."""
    page, _, _ = page_of(told / f"{reader}.html", (390, 844))
    heads = page.evaluate("[...document.querySelectorAll('thead')].map(h => [h.innerText.trim(), h.offsetHeight])")
    assert heads
    assert all((height > 0) == bool(text) for text, height in heads)


@pytest.mark.parametrize("sheet", ["raising", "storm"])
def test_a_sheet_for_the_hand_prints_on_one_page(story, run, sheet, page_of, tmp_path):
    """A4, with everything that can be on it at once."""
    for value in ("mast.line_distance=9 m", "mast.kind=on a roof or gable", "rotor.overspeed=none", "rotor.brake=none"):
        assert run("set", *value.split("="), "--on", "r2", "--correct", "measured again").code == 0
    out = tmp_path / f"{sheet}.html"
    assert run("writeup", "--for", sheet, "--format", "html", "--out", str(out)).code == 0
    page, _, _ = page_of(out, (794, 1123))
    page.emulate_media(media="print")
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) == 1


def test_the_neighbours_page_prints_on_one_page(story, run, page_of, tmp_path):
    """A4, with all that can be on the demo's."""
    assert run("amend", "build", "contact=Odo Quillfeather, 0000 111 222", "--because", "told now").code == 0
    assert run("paper", "one mast up to 10 m", "--kind", "permission", "--until", "2031-02-01").code == 0
    assert run("paper", "damage to others", "--kind", "insurance", "--until", "2026-01-31").code == 0
    out = tmp_path / "neighbour.html"
    assert run("writeup", "--for", "neighbour", "--format", "html", "--out", str(out)).code == 0
    page, _, _ = page_of(out, (794, 1123))
    page.emulate_media(media="print")
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))) == 1


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
def test_no_serious_fault_of_accessibility(told, page_of, reader, size):
    """By axe-core, which needs the page's own content policy lifted to be run at all."""
    from axe_playwright_python.sync_playwright import Axe

    page, _, _ = page_of(told / f"{reader}.html", size, bypass_csp=True)
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "best-practice"]}).response["violations"]
    assert [(v["id"], v["nodes"][0]["html"][:80]) for v in found if v["impact"] in ("serious", "critical")] == []


@pytest.mark.parametrize("begin", [0, 11])
def test_hostile_text_does_nothing(path, tmp_path, page_of, begin):
    """In every field of every record, in a browser that would do what it said."""
    _everywhere(path, HOSTILE[begin:] + HOSTILE[:begin])
    for reader in READERS:
        out = tmp_path / f"{reader}.html"
        out.write_text(render(path, reader, "html"), encoding="utf-8")
        page, asked, said = page_of(out, SIZES["phone"])
        assert [a for a in asked if not a.startswith("data:image/")] == [out.as_uri()]
        assert said == []
        assert (
            page.evaluate("document.querySelectorAll('script, a:not([href^=\"#\"]), iframe, object, form').length") == 0
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0]
