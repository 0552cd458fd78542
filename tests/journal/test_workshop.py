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
    first = min((t.attempt for t in tale.story.standing.tried), key=lambda a: a.began)
    assert (first.began, first.kind) == ("2026-04-18", "bench test")
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
    assert "r1: running since 1 March 2026." in render(path)


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


# --- what stands, and since when --------------------------------------------------------------------------------------


@pytest.fixture
def plain(path, run):
    """A small machine on paper, of which nothing else is known."""
    for value in ("rotor.diameter=2.2 m", "rotor.blades=3", "generator.emf_constant=8 rpm/V", "mast.height=9 m",
                  "generator.winding_resistance=0.3 ohm", "storage.voltage=24 V", "storage.chemistry=lifepo4",
                  "storage.capacity=100 Ah", "site.mean_wind=5 m/s"):  # fmt: skip
        name, said = value.split("=")
        done = run("set", name, said)
        assert done.code == 0, done.err
    return path


def first_of(text):
    """The page for whoever works on the wiring."""
    return text[: text.index("## What to do first")]


def test_pictures_are_of_the_machine_that_is_told(plain, run):
    """And not of the draft behind it; the bare name is still the newest, as for a template of one's own."""
    run("attempt", "raised it", "--kind", "raising", "--when", "May 2021", "--outcome", "worked")
    run("revise", "--title", "Dream", "--because", "bigger is better")
    run("set", "rotor.diameter", "4 m", "--on", "r2")
    run("set", "mast.height", "15 m", "--on", "r2")
    told = part_of(render(plain), "r1: the machine that stands")
    assert "pictures/elevation-r1.png" in told
    assert "The rotor, 2.2 m across, has its centre 9 m above" in told
    assert "4 m across" not in told
    with store.journal(plain) as s:
        shown = redact.for_reader(story_of.tell(s), frozenset(KINDS))
    inlays = Inlays(shown, READERS["workshop"], "md", "p")
    assert [["4 m across" in str(inlays.picture(name)), "2.2 m across" in str(inlays.picture(name))]
            for name in ("elevation", "elevation-r1", "elevation-r2")] == [[1, 0], [0, 1], [1, 0]]  # fmt: skip


def test_every_picture_under_the_machine_names_it(page):
    """Of those that one machine has alone."""
    told = part_of(page, "r2: the machine that stands")
    for name in ("elevation", "swings", "week", "torque"):
        assert re.findall(rf"pictures/{name}[-\w]*\.png", told) == [f"pictures/{name}-r2.png"], name


def test_what_was_lowered_does_not_stand(plain, run):
    """Until it is put up again; a test on the bench puts nothing up."""
    run("attempt", "raised it", "--kind", "raising", "--when", "May 2021", "--outcome", "worked")
    assert "r1 stands: before the next storm, in this order:" in render(plain)
    run("attempt", "took it down", "--kind", "lowering", "--when", "June 2022", "--outcome", "worked")
    run("attempt", "spun it", "--kind", "bench test", "--when", "July 2022", "--outcome", "worked")
    text = render(plain)
    assert "r1: built May 2021, lowered June 2022." in text
    assert "## r1: the machine, lowered June 2022" in text
    assert "Before r1 goes up again, in this order:" in text
    assert "that stands" not in text
    assert "lowered (June 2022) and is down since" in run("writeup", "--for", "neighbour").out
    run("attempt", "up again", "--kind", "raising", "--when", "1 August 2022", "--outcome", "worked")
    assert "## r1: the machine that stands" in render(plain)


@pytest.mark.parametrize(
    ("kind", "told"),
    [("raising", "built May 2021"), ("bench test", "built May 2021"), ("run", "running since May 2021"),
     ("storm", "running since May 2021"), ("repair", "tried")],
)  # fmt: skip
def test_a_first_storm_is_no_day_of_building(plain, run, kind, told):
    """A run or a storm found it built."""
    run("attempt", "did it", "--kind", kind, "--when", "May 2021")
    run("attempt", "once more", "--kind", "repair", "--when", "June 2022")
    assert f"r1: {told}." in render(plain)


def test_before_a_draft_goes_up(plain):
    """It does not go up again."""
    assert "Before r1 goes up, in this order:" in render(plain)


# --- one number, one place --------------------------------------------------------------------------------------------


def test_a_voltage_that_warns_is_one_number(page, tale):
    """Rounded up to two figures wherever the page has it; the peaks are another one, and named so."""
    volts, peaks = "460 V", "480 V"
    first, findings = first_of(page), part_of(page, "Findings")
    assert f"strongest gust, rectified | {volts}: it can kill" in first
    assert f"strongest gust: {volts} DC" in first
    assert f"Its peaks, for rectifier and surge arresters | {peaks}" in first
    assert f"and {volts}, 340 V AC between the leads with it stuck" in first
    assert f"unloaded generator peaks at {peaks}" in first
    assert re.search(rf"Voltage that can be touched in a storm \| {volts} \|", findings)
    assert re.search(rf"Surge arresters \| 385 V \| {peaks} peak \|", findings)
    assert re.findall(r"\b45\d V|\b47\d V", page) == []
    # Of six pulses a turn, the mean is 3/pi of the peak (textbook).
    found = {f.rule: f for f in tale.story.standing.review.findings}
    ratio = found["generator.touch-voltage"].value / found["protection.surge"].limit
    assert ratio == pytest.approx(3 / 3.14159265, rel=1e-3)


def test_what_is_over_its_limit_is_a_weak_spot(page, tale):
    """With its number, and what the check asks for; nearly at a limit is only what keeps within it."""
    first = first_of(page)
    weak, close = first.split("**Weak spots:**")[1].split("Nearly at a limit:")
    assert "rated for 63 A, less than that: shorted at 430 rpm, tips at 50 m/s, each lead carries up to 140 A" in weak
    assert "Asked for: use a switch rated for 160 A or more." in weak
    assert "rated for 385 V" in weak
    assert "surge arresters" not in close.split("\n")[0]
    for f in tale.story.standing.findings("marginal"):
        assert f.over == (f.margin is not None and f.margin < 0)
    assert "over its limit: surge arresters" in first.split("](pictures/wiring")[0]


# --- for whoever is licensed ------------------------------------------------------------------------------------------


def test_the_first_page_has_no_names_of_the_sheet(plain, run):
    """They mean nothing to an electrician."""
    run("attempt", "ran it", "--when", "May 2021")
    first = first_of(render(plain))
    assert "the sheet does not say how the house is fed." in first
    assert re.findall(r"\b(?:house|rotor|storage|protection|generator)\\?\.[a-z]\w+", first) == []


# IEC 61008-1, general type, as a tester's manual gives it; IEC 60364-6 as a railway's rules give it; IEC 60364-4-41
# from memory.
@pytest.mark.parametrize(
    ("name", "value", "conditions", "marked"),
    [
        ("rcd.trip_time", "340 ms", "", "longer than the 300 ms of IEC 61008-1"),
        ("rcd.trip_time", "300 ms", "", ""),
        ("rcd.trip_time", "60 ms", "at five times", "longer than the 40 ms of IEC 61008-1 at five times"),
        ("rcd.trip_time", "60 ms", "", ""),
        ("wiring.insulation", "0.7 Mohm", "", "below what IEC 60364-6 asks, 1 MΩ"),
        ("wiring.insulation", "over 200 Mohm", "", ""),
        ("earth.electrode", "1900 ohm", "", "above what IEC 60364-4-41 asks, 1667 Ω with a device of 30 mA"),
        ("earth.electrode", "1600 ohm", "", ""),
    ],
)
def test_a_test_that_fails_its_limit_is_marked(story, run, name, value, conditions, marked):
    """Beside its number, and among what is to be done first."""
    more = ("--conditions", conditions) if conditions else ()
    done = run("measure", name, value, "--on", "r2", "--when", "3 May 2026", *more)
    assert done.code == 0, done.err
    text = render(story)
    assert len(re.findall("of IEC 61008-1|IEC 60364-6 asks|IEC 60364-4-41 asks", text)) == (2 if marked else 0)
    assert text.count(marked) > 1


def test_a_test_put_right_since_is_not_to_be_done(story, run):
    """The newest reading counts; the older one stays on record with its mark."""
    run("measure", "rcd.trip_time", "340 ms", "--on", "r2", "--when", "3 May 2026")
    run("measure", "rcd.trip_time", "24 ms", "--on", "r2", "--when", "4 May 2026")
    text = render(story)
    assert "longer than" in first_of(text)
    assert "longer than the" not in part_of(text, "What to do first")


def test_the_order_of_switching_off_is_told(page):
    """A battery taken off first unloads a rotor that turns."""
    first = first_of(page)
    assert "| In this order | stop and tie the rotor, then the battery: without it a turning rotor runs away |" in first
    assert (
        "| If the brake fails | keep out of the rotor's reach until the wind drops (common practice, no source) |"
        in first
    )


def test_whom_to_call_is_warned_of_and_told_once(story, run):
    """The blank is told on the screen; a number that begins with the name does not stand beside the name."""
    assert "does not say whom to call" in run("writeup", "--for", "workshop").err
    run("amend", "build", "builder=Odo Quill", "--because", "told")
    run("amend", "build", "contact=Odo Quill, 0555 0101", "--because", "told")
    done = run("writeup", "--for", "workshop")
    assert "whom to call" not in done.err
    assert "| Builder | Odo Quill, 0555 0101 |" in done.out
    run("amend", "build", "contact=0555 0101", "--because", "told")
    assert "| Odo Quill | 0555 0101 |" in run("writeup", "--for", "workshop").out


def test_what_cannot_be_told_is_told_as_a_sentence(page):
    """Of a belief that the numbers leave open."""
    assert "is cannot tell" not in page
    assert page.count("” the numbers cannot tell: ") == 3


def test_two_machines_alike_make_no_picture(plain, run):
    """There is nothing to compare in it."""
    run("attempt", "ran it", "--when", "May 2021")
    run("revise", "--title", "Same", "--because", "a new start")
    with store.journal(plain) as s:
        same = redact.for_reader(story_of.tell(s), frozenset(KINDS))
    assert str(Inlays(same, READERS["forum"], "md", "p").picture("machines-r2")) == ""
    run("set", "mast.height", "10 m", "--on", "r2")
    with store.journal(plain) as s:
        other = redact.for_reader(story_of.tell(s), frozenset(KINDS))
    assert "machines-r2.png" in str(Inlays(other, READERS["forum"], "md", "p").picture("machines-r2"))


def test_a_refusal_holds_for_no_time(story, run):
    """Neither is it given by anybody."""
    run("paper", "insurer said no", "--kind", "insurance", "--by", "a small insurer")
    assert "Insurance: insurer said no. By a small insurer." in render(story)
    out = run("writeup", "--for", "neighbour").out
    assert "insurer said no. By a small insurer.\n" in out


def test_a_machine_without_a_battery_has_no_line_for_one(path, run):
    """Its picture is drawn, and nobody is asked where a battery is switched off."""
    for value in ("storage.chemistry=none", "generator.phases=three-phase", "generator.emf_constant=7.5 rpm/V",
                  "load.heater.power=600 W", "load.heater.voltage=48 V"):  # fmt: skip
        assert run("set", *value.split("=")).code == 0
    text = render(path)
    assert "wiring-r1.png" in text
    assert "Load heater" in text
    assert "Battery off" not in text
    assert "Main battery fuse" not in text
    assert "Battery, nominal" not in text
    assert run("set", "storage.chemistry", "LiFePO4").code == 0
    assert "Battery off" in render(path)
