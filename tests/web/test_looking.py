"""What stands, the newest records, and write-ups: as screens and commands tell them."""

from calc.units import as_written
from journal.book import attempts, builds, store
from journal.publish import story as story_of
from journal.publish import writeup
from journal.review import counsel, verdict
from journal.web.app import make
from journal.web.desk import Desk
from journal.web.door import Door
from tests.web.conftest import HERE, Phone, shown


def test_what_stands_is_what_the_check_says(phone, path, run):
    """Verdict, what to do first, what can kill; no word of its own."""
    for value in ("rotor.diameter=1.3 m", "storage.voltage=12 V", "rotor.overspeed=none"):
        assert run("set", *value.split("=")).code == 0
    run("fail", "it hummed")
    answer = phone.get("/standing")
    said = shown(answer.text).replace("&#39;", "'").replace("&#34;", '"').replace("&lt;", "<").replace("&gt;", ">")
    with store.journal(path) as s:
        review = verdict.check(s, advise=True)
        first = review.plan.todos[0]
        assert as_written(counsel.verdict_of(review).text) in said
        assert as_written(counsel.short(first, energy=not counsel.lead(review, first).caution)) in said
        assert all(title in said for title in counsel.titles(review, (f.key for f in review.deadly)))
    assert "Local rules and licensed people decide" in said
    assert 'href="/records/F1"' in answer.text


def test_a_write_up_is_that_of_the_command(path, clock):
    """For each reader the same page; what is private stays out of it in the same way."""
    desk = Desk(path, "Lamp of the fold", Door())
    with store.journal(path, write=True) as s:
        builds.start(s, builds.BuildTyped("Lamp of the fold", place="Windle Fold, behind the shed"))
    with store.journal(path, write=True, build="Lamp of the fold") as s:
        attempts.log_attempt(s, attempts.AttemptTyped("let it run at Windle Fold"))
    with Phone(make(desk, frozenset({HERE}))) as phone:
        phone.come_in(desk.door.new_code())
        for reader in ("forum", "neighbour", "workshop"):
            with store.journal(path, build="Lamp of the fold") as s:
                made = writeup.render(story_of.tell(s), reader, "html").text
            answer = phone.get(f"/writeups/{reader}")
            before, _, after = answer.text.partition('<nav aria-label="Galebook">')
            assert before + after.partition("</nav>\n")[2] == made
            assert ("Windle Fold" in answer.text) is (reader == "workshop")
        assert phone.get("/writeups/nobody").status_code == 404
