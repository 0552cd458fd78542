"""The pages in a real browser of a phone's size, served by the command itself.

Sources: axe-core's rules of the tags wcag2a and wcag2aa (the W3C's Web Content Accessibility Guidelines 2), and 44 CSS
pixels for what is pressed (success criterion 2.5.5 of WCAG 2.1). Without a browser on the machine they are skipped.
"""

import os
import re
import signal
import subprocess
import sys

import pytest
from PIL import Image

from tests.conftest import rows
from tests.journal.test_browser import ARGUMENTS, CHROMIUM, browser

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine")
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True, "device_scale_factor": 2}
__all__ = ["ARGUMENTS", "browser"]
#: What can be pressed and is smaller than a thumb, but for links within a sentence.
SMALL = """() => [...document.querySelectorAll('a.button, nav a, .rows a, button, summary, select, textarea,'
  + ' input:not([type=hidden]), .words label')]
  .map(e => [e, (e.type === 'checkbox' ? e.closest('label') : e).getBoundingClientRect()])
  .filter(([e, r]) => r.width && (r.height < 44 || r.width < 44) && e.type !== 'radio')
  .map(([e, r]) => `${e.tagName} ${e.name || e.textContent} ${r.width} x ${r.height}`)"""


@pytest.fixture
def served(path, tmp_path):
    """The command at work: its link, and the process."""
    words = [sys.executable, "-m", "journal", "serve", "--port", "0"]
    with subprocess.Popen(
        words, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True, env={**os.environ}
    ) as done:
        said = ""
        while not (link := re.search(r"^http://\S+code=\w+$", said, re.MULTILINE)):
            line = done.stderr.readline()
            assert line, said
            said += line
        yield link[0], done
        done.kill()


def look_through(page):
    """Hold that a page is no wider than small phones, and has nothing that is hard to press or to hear."""
    from axe_playwright_python.sync_playwright import Axe

    page.wait_for_load_state("load")
    assert page.evaluate(SMALL) == []
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.set_viewport_size(PHONE["viewport"])
    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "best-practice"]}).response["violations"]
    assert [(v["id"], v["nodes"][0]["html"][:120]) for v in found] == []


def press(page, name):
    """Press a button or a link by its words."""
    page.get_by_role("button", name=name, exact=True).or_(page.get_by_role("link", name=name, exact=True)).first.click()


def test_an_evening_in_the_shed(served, path, browser, tmp_path):
    """In by the code, an attempt whose connection drops in mid-sentence, three readings, a failure, a photo; out."""
    link, process = served
    context = browser.new_context(**PHONE, bypass_csp=True)
    context.set_default_timeout(8000)
    page, said, asked = context.new_page(), [], []
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(link)
    look_through(page)
    press(page, "Come in")
    page.wait_for_selector("text=Log an attempt")
    look_through(page)

    press(page, "Log an attempt")
    page.get_by_label("What did you do?").press_sequentially("raised it on the gable and ")
    context.set_offline(True)
    page.get_by_label("What did you do?").press_sequentially("let it run")
    page.get_by_label("failed", exact=True).check()
    press(page, "Save the attempt")
    page.wait_for_selector("text=sent when the connection is back")
    # Whoever closes the page in despair finds the text again.
    page.close()
    assert rows(path, "SELECT count(*) FROM attempt") == [(0,)]
    context.set_offline(False)
    page = context.new_page()
    page.on("pageerror", lambda error: said.append(str(error)))
    page.goto(link.partition("/enter")[0] + "/attempt")
    assert page.get_by_label("What did you do?").input_value() == "raised it on the gable and let it run"
    look_through(page)
    context.set_offline(True)
    press(page, "Save the attempt")
    page.wait_for_selector("text=sent when the connection is back")
    context.set_offline(False)
    page.wait_for_selector("text=Logged A1.")
    assert rows(path, "SELECT did, outcome FROM attempt") == [("raised it on the gable and let it run", "failed")]
    look_through(page)

    press(page, "Readings in A1")
    look_through(page)
    for name, number in (("Voltage at the battery", "12.1"), ("Current into the battery", "0.3")):
        press(page, name)
        field = page.get_by_label(name)
        assert field.get_attribute("inputmode") == "decimal"
        field.fill(number)
        press(page, "Save, then another")
        page.wait_for_selector(f"text={name}: {number}")
    press(page, "Current into the battery")
    look_through(page)
    page.get_by_label("Current into the battery").fill("lots")
    press(page, "Save, then another")
    page.wait_for_selector("text=Not taken")
    assert page.get_by_label("Current into the battery").input_value() == "lots"
    look_through(page)
    page.get_by_label("Current into the battery").fill("0.2")
    page.get_by_label("Below zero").check()
    press(page, "Save, then another")
    page.wait_for_selector("text=-0.2 A")
    assert rows(path, "SELECT typed FROM measurement ORDER BY number") == [("12.1 V",), ("0.3 A",), ("-0.2 A",)]

    page.goto(link.partition("/enter")[0] + "/failure?attempt=A1")
    page.get_by_label("What did you see, not why?").fill("turned but hardly charged")
    page.get_by_label("near miss", exact=True).check()
    page.get_by_label("What do you believe caused it?").fill("magnets too weak")
    page.get_by_label("How sure, in per cent?").fill("60")
    look_through(page)
    press(page, "Save the failure")
    page.wait_for_selector("text=Logged F1.")
    assert rows(path, "SELECT saw, harm FROM failure") == [("turned but hardly charged", "near miss")]
    assert rows(path, "SELECT what, sure FROM cause") == [("magnets too weak", 0.6)]

    Image.effect_noise((1200, 900), 60).save(tmp_path / "gale.jpg")
    press(page, "Photos of F1")
    page.get_by_label("Or choose some that you took").set_input_files([tmp_path / "gale.jpg"])
    page.get_by_label("What do they show?").fill("the hedge that day")
    look_through(page)
    press(page, "Save the photos")
    page.wait_for_selector("text=Saved X1.")
    page.goto(link.partition("/enter")[0] + "/records/F1")
    page.locator("figure img").scroll_into_view_if_needed()
    page.wait_for_function("document.images[0].naturalWidth > 100")
    assert page.locator("figure img").get_attribute("alt") == "the hedge that day"
    for where in ("/standing", "/records", "/writeups"):
        page.goto(link.partition("/enter")[0] + where)
        look_through(page)

    assert said == []
    assert {a.partition("/enter")[0].split("/")[2] for a in asked} == {link.split("/")[2]}
    context.close()
    process.send_signal(signal.SIGINT)
    assert process.wait(20) == 0
    assert "Ended. What was sent is saved." in process.stderr.read()


def test_without_scripts_and_without_the_machine(served, path, browser):
    """Forms are only forms; and where the machine is out of reach there is still a page to write on."""
    link, process = served
    here = link.partition("/enter")[0]
    context = browser.new_context(**PHONE, java_script_enabled=False, color_scheme="dark")
    context.set_default_timeout(8000)
    page = context.new_page()
    page.goto(link)
    press(page, "Come in")
    press(page, "Log an attempt")
    page.get_by_label("What did you do?").fill("bench spin")
    page.get_by_label("Wind", exact=True).fill("a lot")
    press(page, "Save the attempt")
    assert "Not taken" in page.locator("#wind-wrong").inner_text()
    assert page.get_by_label("What did you do?").input_value() == "bench spin"
    page.get_by_label("Wind", exact=True).fill("Bft 2")
    press(page, "Save the attempt")
    page.wait_for_selector("text=Logged A1.")
    page.goto(here + "/readings/rotor.speed?attempt=A1")
    page.get_by_label("Speed of the rotor").fill("320")
    press(page, "Save, then another")
    page.wait_for_selector("text=320 rpm")
    # Back, and sent once more: the same sheet of the form makes one record.
    page.go_back()
    assert page.get_by_label("Speed of the rotor").input_value() == "320"
    press(page, "Save, then another")
    page.wait_for_selector("text=320 rpm")
    assert rows(path, "SELECT did, wind FROM attempt") == [("bench spin", "Bft 2")]
    assert rows(path, "SELECT typed FROM measurement") == [("320 rpm",)]
    cookies = context.cookies()
    assert [(c["httpOnly"], c["sameSite"]) for c in cookies] == [(True, "Strict")]
    context.close()

    context = browser.new_context(**PHONE)
    context.add_cookies(cookies)
    page, said = context.new_page(), []
    page.on("console", lambda message: said.append(message.text))
    page.goto(here + "/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    assert said == []
    process.send_signal(signal.SIGINT)
    process.wait(20)
    page.goto(here + "/attempt")
    page.get_by_label("An attempt: what did you do?").fill("lowered it in the dark")
    kept = page.evaluate("JSON.parse(localStorage.getItem('galebook:/attempt'))")
    assert kept["did"] == "lowered it in the dark"
    context.close()


def test_what_the_logger_wrote_and_what_goes_to_the_shop(story, served, browser, tmp_path):
    """Curve, wind, drawings and list of the demo; ticks that outlast the page, the machine and the file taken along."""
    link, process = served
    here = link.partition("/enter")[0]
    context = browser.new_context(**PHONE, bypass_csp=True, accept_downloads=True)
    context.set_default_timeout(15000)
    page, wrong = context.new_page(), []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(link)
    press(page, "Come in")
    press(page, "More")
    look_through(page)
    press(page, "Measured power curve of r2")
    page.wait_for_function("document.images[0].naturalWidth > 500")
    look_through(page)
    press(page, "Wind by the logger of r2")
    bar = page.locator(".bars rect").first.bounding_box()
    assert bar["width"] > 5 < bar["height"]
    look_through(page)
    press(page, "What loggers wrote")
    look_through(page)

    page.goto(f"{here}/drawings/r2")
    look_through(page)
    page.locator("summary").click()
    page.get_by_label("Paper to print on").select_option("letter")
    with page.expect_download() as coming:
        press(page, "Download blade")
    assert coming.value.suggested_filename == "blade-r2.pdf"
    page.goto(f"{here}/drawings/r1")
    press(page, "Open tail")
    page.wait_for_selector("text=does not say tail.area")
    look_through(page)

    page.goto(f"{here}/buying/r2")
    look_through(page)
    page.get_by_label("generator switch").check()
    page.reload()
    assert page.get_by_label("generator switch").is_checked()
    assert page.locator("input:checked:enabled").count() == 1
    with page.expect_download() as coming:
        press(page, "Download the list")
    coming.value.save_as(tmp_path / "list.html")
    process.send_signal(signal.SIGINT)
    process.wait(20)
    page.get_by_label("battery switch").check()
    page.goto((tmp_path / "list.html").as_uri())
    page.get_by_label("surge arresters").check()
    assert page.locator("input:checked:enabled").count() == 1
    page.set_viewport_size({"width": 360, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.evaluate(SMALL) == []
    assert wrong == []
    context.close()


@pytest.mark.parametrize("scripts", [True, False])
def test_a_logger_s_file_from_the_phone(served, path, browser, tmp_path, scripts):
    """Chosen, tried, said what it is, kept; with scripts and without."""
    link, _ = served
    rows_ = "".join(f"2026-06-01 {i // 60:02d}:{i % 60:02d};{5 + i % 4},5;{i % 90}\n" for i in range(600))
    (tmp_path / "shed.csv").write_text(f"Zeit;Kanal 1;Kanal 2\n{rows_}", encoding="utf-8")
    context = browser.new_context(**PHONE, java_script_enabled=scripts, bypass_csp=True)
    context.set_default_timeout(15000)
    page = context.new_page()
    page.goto(link)
    press(page, "Come in")
    press(page, "More")
    press(page, "What loggers wrote")
    page.wait_for_selector("text=Nothing yet.")
    press(page, "Take in a logger's file")
    press(page, "Try it")
    page.wait_for_selector("text=No file was chosen")
    if scripts:
        look_through(page)
    page.get_by_label("The file").set_input_files([tmp_path / "shed.csv"])
    press(page, "Try it")
    page.wait_for_selector("text=No column of shed.csv is known")
    page.get_by_label("What its columns are").fill("Kanal 1=wind m/s at 8 m\nKanal 2=wool")
    press(page, "Try it with this")
    page.wait_for_selector("text=is no quantity")
    assert page.get_by_label("What its columns are").input_value() == "Kanal 1=wind m/s at 8 m\nKanal 2=wool"
    if scripts:
        look_through(page)
    page.get_by_label("What its columns are").fill("Kanal 1=wind m/s at 8 m\nKanal 2=power W")
    press(page, "Try it with this")
    page.wait_for_selector("text=power of the generator")
    assert rows(path, "SELECT count(*) FROM loggerfile") == [(0,)]
    if scripts:
        look_through(page)
    press(page, "Keep it")
    page.wait_for_selector("text=Logged G1.")
    assert rows(path, "SELECT filename, rows FROM loggerfile") == [("shed.csv", 600)]
    context.close()
