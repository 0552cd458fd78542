"""The workshop record: the standing machine first, on a page of its own for whoever works on its wiring; nothing twice.

How long it may be is the project's own aim: twelve printed pages for the demo.
"""

import json
import re
import shutil
import subprocess
from html.parser import HTMLParser

import pytest

from calc.finding import Finding, Source, Status
from calc.quantities import ELECTRICAL_TESTS, QUANTITIES
from journal.book import attempts, measurements, parts, records, revisions, store
from journal.errors import BadInput
from journal.publish import redact, workshop, writeup
from journal.publish import story as story_of
from journal.publish.inlays import Inlays
from journal.publish.marks import Marks
from journal.publish.page import html_page
from journal.publish.private import KINDS
from journal.publish.readers import READERS
from journal.review.verdict import headline
from tests.conftest import pin
from tests.journal.test_browser import ARGUMENTS, CHROMIUM

PAGES = 12


@pytest.fixture(scope="module")
def tale(told):
    """All that was gathered of the demo."""
    with pytest.MonkeyPatch.context() as patch:
        pin(patch)
        with store.journal(told / "demo.db") as s:
            yield story_of.tell(s)


@pytest.fixture(scope="module")
def page(tale):
    """The demo's record, as Markdown."""
    return writeup.render(tale, "workshop", "md", folder="pictures").text


@pytest.fixture(scope="module")
def html(tale):
    """The same as HTML."""
    return writeup.render(tale, "workshop", "html").text


def part_of(text, title):
    """What stands under a chapter."""
    return text.split(f"\n## {title}", 1)[1].split("\n## ", 1)[0]


def render(path, form="md"):
    """The record of a journal."""
    with store.journal(path) as s:
        return writeup.render(story_of.tell(s), "workshop", form, folder="pictures" if form == "md" else None).text


def test_the_standing_machine_comes_first(page):
    """Its wiring on the first page, before anything of the one that it took the place of, which has no wiring here."""
    first = page[: page.index("## What to do first")]
    assert "wiring-r2.png" in first
    assert page.count("wiring-") == 1
    assert page.index("wiring-r2.png") < page.index("## Retired") < page.index("### r1: Small and fast")


def test_built_is_the_day_of_building(tale, page):
    """That of the first attempt on it, and not the day on which it was typed."""
    began = min(t.attempt.began for t in tale.story.standing.tried)
    assert began == "2026-04-18"
    assert "r2, bigger and slower: built 18 April 2026." in page
    assert "Built 11 October 2025" in part_of(page, "Retired")
    assert "frozen" not in page


def test_the_first_page_has_what_an_electrician_asks_for(page):
    """Voltages, also with nothing connected; currents, fuses, short circuits; how to stop it; whom to call."""
    first = page[: page.index("## What to do first")]
    for what in ("Battery, nominal | 24 V", "in the strongest gust, rectified | 460 V: it can kill", "| 21 A | 69 A |",
                 "Battery shorted at its terminals | up to 6600 A", "Stop the rotor | switch that shorts",
                 "Weak spots:", "Licensed electrician"):  # fmt: skip
        assert what in first, what


BLANK = r"\\_" * 8


def test_what_is_missing_stands_as_a_blank(page):
    """Each test with its unit, day and name; the names of who fitted what; whom to call."""
    first = page[: page.index("## What to do first")]
    blank = r"\_" * 8
    for name in ELECTRICAL_TESTS:
        assert re.search(rf"\| {QUANTITIES[name].meaning} \| {BLANK} \S+ \| {BLANK} \| {BLANK} \|", first), name
    assert f"| Builder | {blank} |" in first
    assert re.search(rf"\| P14 inverter, 800 W \| {BLANK} \| {BLANK} \|", first)


def test_recorded_tests_are_told_with_who_and_when(story, run):
    """And who fitted what; once each."""
    for name, value in (("insulation", "over 200 Mohm"), ("electrode", "35 ohm"), ("rcd.trip_time", "24 ms")):
        done = run("measure", name, value, "--on", "r2", "--when", "3 May 2026", "--read-by", "Tilda Brackenridge")
        assert done.code == 0, done.err
    assert run("part", "fitted", "P14", "Tilda Brackenridge", "--when", "2 May 2026").code == 0
    text = render(story)
    first = text[: text.index("## What to do first")]
    assert "| M13 **over 200 MΩ** | 3 May 2026 | Tilda Brackenridge |" in first
    assert "**24 ms**" in first
    assert "**35 Ω**" in first
    assert "| P14 inverter, 800 W | Tilda Brackenridge | 2 May 2026 |" in first
    assert (text.count("over 200 MΩ"), text.count("2 May 2026 |")) == (1, 1)


def test_who_fitted_and_who_tested_is_private(story, run):
    """Everywhere but in the workshop, also where a text names them; an electrician is no name."""
    run("part", "fitted", "P14", "Tilda Brackenridge, electrician", "--when", "2 May 2026")
    run("part", "fitted", "P8", "a licensed electrician")
    run("measure", "rcd.trip_time", "24 ms", "--on", "r2", "--read-by", "Odo Quill")
    run("amend", "A8", "saw=Tilda Brackenridge came by", "--because", "told later")
    done = run("writeup", "--for", "forum")
    assert re.findall("Brackenridge|Quill", done.out) == []
    assert "who fitted or tested it" in done.err
    assert "electrician" in done.out
    assert "Brackenridge" in run("writeup", "--for", "forum", "--include", "people").out


def test_who_fitted_it_is_in_list_and_json(story, run):
    """And can be said again; the history keeps what stood there."""
    run("part", "fitted", "P14", "an electrician", "--when", "May 2026")
    assert "fitted by an electrician, May 2026" in " ".join(run("show", "P14").out.split())
    use = next(p for p in json.loads(run("part", "list", "r2", "--json").out)["parts"] if p["ref"] == "P14")
    assert use["fitted_by"] == "an electrician"
    run("part", "fitted", "P14", "--when", "2 May 2026")
    use = next(p for p in json.loads(run("part", "list", "r2", "--json").out)["parts"] if p["ref"] == "P14")
    assert (use["fitted_by"], use["fitted_on"]) == ("an electrician", "2026-05-02")
    assert run("part", "fitted", "P14").code == 2
    assert run("part", "fitted", "P1", "me", "--on", "r2").code == 1


def test_what_rests_on_what_is_told_once(tale, page):
    """Each assumption and each source of the standing machine stands once, with its number."""
    found = tale.story.standing.review.findings
    for text in {a for f in found for a in f.assumptions}:
        numbered = workshop.Notes(found)
        assert text in [words for _, words in numbered.assumed]
    assumed, sources = part_of(page, "Assumptions"), part_of(page, "Sources")
    assert len(re.findall(r"^- a\d+ ", assumed, re.MULTILINE)) == len({a for f in found for a in f.assumptions})
    assert len(re.findall(r"\bs\d+ ", sources)) == len({s for f in found for s in f.sources})
    assert page.count("reference wind of the mildest class of IEC 61400-2") == 1


def test_numbers_in_a_row_are_told_by_their_ends():
    """And lead to what a finding rests on, no more."""

    def finding(assumed, sources):
        return Finding("a.b", "c", Status.OK, "T", "S", assumptions=tuple(assumed), sources=tuple(map(Source, sources)))

    one, two = finding("pqr", "XY"), finding("pr", "YZ")
    notes = workshop.Notes([one, two])
    assert notes.of(one) == [("a1", "a3"), ("s1", "s2")]
    assert notes.of(two) == [("a1", "a1"), ("a3", "a3"), ("s2", "s3")]


class Places(HTMLParser):
    """The places of a page, and what leads to them."""

    def __init__(self, text):
        super().__init__()
        self.places, self.leads, self.open = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Keep what is a place, and what leads to one."""
        told = dict(attrs)
        self.places += [told["id"]] if "id" in told else []
        self.leads += [told["href"]] if tag == "a" else []


def test_every_link_has_its_place(html):
    """And every place is one; records, assumptions and sources are led to, and every chapter from the contents."""
    found = Places(html)
    assert len(found.places) == len(set(found.places))
    assert {lead.removeprefix("#") for lead in found.leads} <= set(found.places)
    assert {"F2", "F3", "F4", "A8", "D4", "M8", "P14", "a1", "s1", "chapter-1"} <= set(found.places)
    chapters = len(re.findall("<h2", html))
    assert [lead for lead in found.leads if "chapter" in lead] == [f"#chapter-{n}" for n in range(1, chapters + 1)]
    assert {"#A4", "#D4", "#a1", "#s1"} <= set(found.leads)


def test_all_that_happened_is_in_it(tale, page):
    """Every attempt, failure, decision and danger of every revision; of the standing machine every finding."""
    for c in tale.story.chapters:
        for ref in [*(t.attempt.ref for t in c.tried), *(x.failure.ref for x in c.failed),
                    *(d.decision.ref for d in c.decisions), *(d.ref for d, _ in c.accepted)]:  # fmt: skip
            assert re.search(rf"\b{ref}\b", page), ref
        for f in c.findings("danger"):
            assert headline(f).lower() in page.lower(), f.key
    plain = page.replace("\\", "").lower()
    missing = [
        f.key for f in tale.story.standing.review.findings if not f.of_reading and headline(f).lower() not in plain
    ]
    assert missing == []


def test_what_must_be_done_has_its_remedy(tale, page):
    """Dangers, fails and what can kill and is not known stand in the list of what to do first, each with what to do."""
    to_do = part_of(page, "What to do first")
    for f in tale.story.standing.findings("danger", "fail"):
        assert headline(f).lower() in to_do.lower()
    assert to_do.count("*Do:*") == len(tale.story.standing.review.groups)


def test_open_failures_come_with_the_next_step(tale, page):
    """As a command."""
    told = part_of(page, "Open failures")
    for x in tale.story.open:
        assert f"**{x.failure.ref}, " in told
        assert f"`{x.loop.how}`" in told


def test_a_retired_machine_takes_few_lines(page):
    """What it was, why it ended, what it failed by and what settled that."""
    retired = part_of(page, "Retired")
    assert len(retired.split()) < 450
    for what in ("a rotor 1.3 m across", "threw a blade", "given up: the spin test", "D1, “24 V”", "shown by A8"):
        assert what in retired, what


def test_nothing_is_scored_on_a_few_cases(page):
    """A score of one or two predictions says nothing."""
    assert "Brier" not in page


def test_days_are_told_in_words(page):
    """Nowhere as a machine writes them, but in what a picture shows."""
    text = re.sub(r"^!\[.*$", "", page, flags=re.MULTILINE)
    assert re.findall(r"\b20\d\d-\d\d-\d\d\b", text) == []


@pytest.fixture(scope="module")
def paper(html, tmp_path_factory):
    """The demo's record as a browser prints it: the words of each page."""
    if CHROMIUM is None or shutil.which("pdftotext") is None:
        pytest.skip("no Chromium, or nothing that reads what it prints, on this machine")
    from playwright.sync_api import sync_playwright

    folder = tmp_path_factory.mktemp("paper")
    (folder / "w.html").write_text(html, encoding="utf-8")
    with sync_playwright() as p:
        browser = p.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        page = browser.new_page(viewport={"width": 794, "height": 1123})
        page.goto((folder / "w.html").as_uri())
        page.pdf(path=str(folder / "w.pdf"), format="A4", prefer_css_page_size=True)
        browser.close()
    read = subprocess.run(["pdftotext", str(folder / "w.pdf"), "-"], capture_output=True, text=True, check=True)
    return [" ".join(page.split()) for page in read.stdout.split("\f")[:-1]]


def test_it_is_short(paper):
    """Twelve pages at most."""
    assert len(paper) <= PAGES


def test_the_first_page_stands_alone(paper):
    """From the name of the machine to who fitted what; what is to be done begins the next."""
    assert "For whoever works on the wiring" in paper[0]
    assert "Resistance of the earth" in paper[0]
    assert "inverter, 800 W" in paper[0]
    assert paper[1].startswith("What to do first")


def test_what_is_folded_is_printed(paper):
    """Sheet, findings and sources; the words beside the sign that opens them are not."""
    whole = " ".join(paper)
    for what in ("number of blades", "Fatigue of the shaft", "IEC 60034-1"):
        assert what in whole, what
    assert "each with where it is known from" not in whole


def test_an_unfinished_record_is_told(path, run):
    """Of a build of which hardly anything is known, a draft, and one that was tried once."""
    assert "Nothing is on record of any machine yet." in render(path)
    assert run("set", "generator.emf_constant", "62 rpm/V").code == 0
    assert "a draft, nothing stands" in render(path)
    with store.journal(path, write=True) as s:
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", began="2026-03-01"))
    assert "built 1 March 2026" in render(path)


def test_a_draft_is_not_the_machine_that_stands(story):
    """It is told behind it, as planned."""
    with store.journal(story, write=True) as s:
        revisions.revise(s, title="Taller", because="it stands low")
        measurements.log_measurement(s, measurements.MeasurementTyped("battery.voltage", "25 V", on="r3"))
    text = render(story)
    assert "wiring-r2.png" in text[: text.index("## What to do first")]
    assert "r3, taller: a draft, because it stands low." in part_of(text, "Planned")


def test_it_grows_by_what_happened_and_not_by_readings(story):
    """A series of readings is a line."""
    before = len(render(story).split())
    with store.journal(story, write=True) as s:
        tried = attempts.log_attempt(s, attempts.AttemptTyped("ran it", on="r2", outcome="worked"))
        for n in range(300):
            typed = measurements.MeasurementTyped("charge.current", f"{1 + n % 7} A", attempt=tried.ref)
            measurements.log_measurement(s, typed)
    after = len(render(story).split())
    assert after - before < 600


def test_marks_of_one_page_mean_nothing_in_another():
    """What a record says can be no mark, for the letters of marks are drawn anew; a part ends where nothing ends it."""
    inlays, other = Inlays(None, READERS["workshop"], "html", None), Marks(live=True)
    one = inlays.marks
    text = f"# T\n\n{one.opens('fold', 'a & b')}\n\n{one.here('F1')}x {one.to('F1')} {one.to('F2')} {other.to('F1')}\n"
    made = html_page(text, None, inlays).split("<main>")[1].split("</main>")[0]
    inside = made.split("<details>")[1]
    assert inside.startswith("<summary>a &amp; b</summary>")
    assert made.rstrip().endswith("</details>")
    assert '<span id="F1"></span>x <a href="#F1">F1</a> F2 GALEBOOKMARK' in inside
    assert one.closes() not in made


@pytest.mark.parametrize("wrong", ["here('<b>')", "opens('script')", "here('x y')"])
def test_a_template_of_ones_own_sets_no_other_marks(tale, tmp_path, wrong):
    """It is told, with its line."""
    (tmp_path / "workshop.md").write_text(f"# T\n\n{{{{ {wrong} }}}}")
    with pytest.raises(BadInput, match=r"workshop\.md, line 3"):
        writeup.render(tale, "workshop", "html", tmp_path)


def test_marks_are_nothing_in_markdown():
    """A reference is itself."""
    marks = Marks(live=False)
    assert (str(marks.here("F1")), str(marks.to("F1")), str(marks.opens("fold", "x")), str(marks.closes())) == (
        "", "F1", "", "",
    )  # fmt: skip


def test_a_part_of_the_wiring_is_known_by_its_role(tale):
    """By its name where it has none."""
    told = redact.for_reader(tale, frozenset(KINDS)).story
    by_ref = {p.ref: p for c in told.chapters for p, _ in c.parts}
    assert [ref for ref in ("P7", "P9", "P11", "P14") if workshop.is_wiring(by_ref[ref])] == ["P11", "P14"]


def test_fitting_waits_for_no_freezing(story):
    """What was built keeps it, too; a day to come is refused."""
    with store.journal(story, write=True) as s:
        assert records.find_revision(s, "r1").frozen_at
        use = parts.fitted(s, "P1", "me", on="r1", day="autumn 2025")
        assert (use.fitted_on, use.fitted_on_typed) == ("2025-09-01/2025-11-30", "autumn 2025")
        with pytest.raises(BadInput):
            parts.fitted(s, "P1", day="2031-01-01")
