"""Nothing private goes out by a field, a text, a caption, a file's name or a picture, whatever a template prints."""

import base64
import contextlib
import dataclasses
import html
import itertools
import json
import re
import sqlite3
import types
import unicodedata
from enum import Enum
from pathlib import Path
from urllib.parse import unquote

import numpy as np
import pytest
from matplotlib.text import Text
from PIL import Image
from sqlalchemy import String

from calc.machine.catalogue import catalogue
from calc.machine.design import Design
from journal.book import attachments, instruments, observations, papers, records, sheet, store, tables
from journal.publish import figures, private, redact, saving, writeup
from journal.publish import story as story_of
from journal.publish.readers import READERS
from journal.publish.redact import Plain
from journal.publish.scrub import LEFT_OUT
from journal.review import verdict
from tests.conftest import copied, dump

PLACE = "Hollowmère Lane 7 <Top & Bottom>"
BUILDER = "Odo *Quillfeather*"
CONTACT = "ring 0000 111 222 or wind@quern.invalid"
SERIAL = "SN-4711/A_b"
NOTE = "the key is under the blue pot"
FITTER = "Tilda Brackenridge"
COST = 7391
#: What may be told of it: alone, rounded, or in a sum.
SUMS = {"7390", *(str(n * COST) for n in range(1, 20))}
PRIVATE = {"place": PLACE, "builder": BUILDER, "contact": CONTACT, "serials": SERIAL, "notes": NOTE,
           "people": FITTER}  # fmt: skip

#: What each reader may have of it, and what ours may: whoever changes that changes it here too.
SHOWN = {name: set(reader.shows) for name, reader in READERS.items()}
OURS = {
    "forum": set(),
    "neighbour": {"contact"},
    "workshop": {*PRIVATE, "prices", "files"},
    "raising": {"contact", "place"},
    "storm": {"contact", "place"},
}
#: How many of the builder's texts each of ours tells at least.
LEAST = {"forum": 25, "neighbour": 4, "workshop": 25}
#: Columns that hold no free text: what is typed there is held to a closed set, a day or a name of the program's.
CLOSED = {
    "recorded_at", "began", "ended", "happened", "taken", "said_on", "decided_on", "review_on", "reviewed_on", "until",
    "frozen_at", "fitted_on", "quantity", "expects_quantity", "rule", "mechanism", "symptoms", "subject", "path",
    "word", "sha256", "media_type", "currency", "about", "figure", "look", "seen", "form",
}  # fmt: skip
#: Columns that are private as a whole.
WHOLE = {
    "build.place": PLACE, "build.builder": BUILDER, "build.contact": CONTACT, "part.serial": SERIAL,
    "paper.serial": SERIAL, "partuse.fitted_by": FITTER, "measurement.read_by": FITTER,
    **{f"{name}.private_note": NOTE for name, t in tables.SQLModel.metadata.tables.items() if "private_note" in t.c},
}  # fmt: skip
#: Columns of JSON, whose texts are filled one by one; a label of the sheet is a text too.
JSON = {"option.changes", "option.consequences"}
#: What is in no write-up: the history of changes, the words that are searched, files as such, what a logger's file was
#: called, and what the program remembers.
UNTOLD = {"history", "setting", "searchtext", "filecontent", "deed", "loggerfile"}
LABELS = {"cable.mast.": "cable.hollowmere-lane-7-top-bottom.", "load.lights.": "load.odo-quillfeather."}


def folded(text):
    """Letters and digits alone, small, without accents, with nothing coded: our own, apart from the program's."""
    for _ in range(4):
        before, text = text, html.unescape(unquote(text))
        if text == before:
            break
    text = unicodedata.normalize("NFKD", text).casefold()
    return "".join(filter(str.isalnum, text))


def written(secret):
    """A secret as people, programs and pages write it."""
    bare = " ".join(re.sub(r"[*<>&]", " ", secret).split())
    return [
        secret, secret.upper(), secret.casefold(), html.escape(secret), writeup.environment.markdown_text(secret),
        secret.replace(" ", "-"), secret.replace(" ", "_"), secret.replace(" ", "  \n "), secret.replace(" ", "\u00a0"),
        secret.replace(" ", "%20").replace("&", "%26"), secret.replace(" ", "&nbsp;"), bare.title().replace(" ", ""),
        "".join(f"&#{ord(c)};" for c in secret), unicodedata.normalize("NFD", secret), f"“{secret}”'s",
        f"**{secret.replace(' ', '** _', 1)}_", secret.replace("-", "\u2011").replace(" ", " - "),
        html.escape(secret.upper()),
    ]  # fmt: skip


#: The whole, and such parts as tell it too.
PIECES = {
    "place": [PLACE],
    "builder": [BUILDER],
    "contact": [CONTACT, "0000 111 222", "+44(0)000-0111222".replace("0)000-0", "0)0000 "), "wind@quern.invalid"],
    "serials": [SERIAL],
    "notes": [NOTE],
    "people": [FITTER],
}
LETTERS = {
    "place": [folded(PLACE)],
    "builder": [folded(BUILDER)],
    "contact": [folded(CONTACT), "0000111222", folded("wind@quern.invalid")],
    "serials": [folded(SERIAL)],
    "notes": [folded(NOTE)],
    "people": [folded(FITTER)],
}
MONEY = [f"{COST} GBP", f"GBP {COST}", f"£{COST}", f"{COST}gbp", f"{COST},50 GBP", f"**{COST}** GBP", f"${COST}"]


def columns():
    """Every column of free text in every table that is told of, found from the tables."""
    found = {}
    classes = [*tables.Record.__subclasses__(), *tables.Numbered.__subclasses__()]
    for name, table in tables.SQLModel.metadata.tables.items():
        closed = CLOSED.union(*(c.words for c in classes if c.__name__.lower() == name))
        for column in table.columns if name not in UNTOLD else ():
            if isinstance(getattr(column.type, "impl", None), String) and column.name not in closed:
                found[f"{name}.{column.name}"] = column
    return found


def poisoned(path):
    """Write into every text of a journal everything that is private, each time in another way; gives the marks left."""
    ways = {kind: itertools.cycle(w for piece in pieces for w in written(piece)) for kind, pieces in PIECES.items()}
    money, marks = itertools.cycle(MONEY), {}

    def text(was):
        mark = f"mark{len(marks)}x"
        # The ending of a file's name stays its ending.
        return mark, f"{mark} {'; '.join([*map(next, ways.values()), next(money)])}; {was}"

    with contextlib.closing(sqlite3.connect(path)) as db, db:
        for old, new in LABELS.items():
            db.execute("UPDATE sheetvalue SET path = replace(path, ?, ?)", (old, new))
            db.execute("UPDATE option SET changes = replace(changes, ?, ?)", (old, new))
        for name in columns():
            table, column = name.split(".")
            for key, was in db.execute(f'SELECT id, "{column}" FROM "{table}"').fetchall():
                mark = None
                if name in JSON:
                    value = json.dumps(_texts(json.loads(was), lambda t: text(t)[1])) if was else was
                elif column == "withdrawn_because" and not was:
                    # It would be told of nowhere.
                    continue
                else:
                    mark, value = (None, WHOLE[name]) if name in WHOLE else text(was or "")
                # A reading has either a value or a reason why not.
                done = db.execute(f'UPDATE OR IGNORE "{table}" SET "{column}" = ? WHERE id = ?', (value, key))
                marks |= {mark: name} if mark and done.rowcount else {}
        for table in ("part", "option"):
            db.execute(f'UPDATE "{table}" SET cost = ?, currency = ?', (COST, "GBP"))
    return marks


def _texts(value, make):
    """JSON with its free texts made anew; names and words of closed sets stay."""
    if isinstance(value, dict):
        fixed = ("rule", "subject")
        return {k: v if k in fixed else _texts(v, make) for k, v in value.items()}
    if isinstance(value, list):
        return [_texts(v, make) for v in value]
    return make(value) if isinstance(value, str) else value


@pytest.fixture(scope="module")
def poison(told, tmp_path_factory):
    """The demo's journal with photos and files, everything private in every text; and the marks of the texts."""
    folder = tmp_path_factory.mktemp("poison")
    path = folder / "demo.db"
    copied(told, folder)
    Image.new("RGB", (80, 60), "red").save(folder / "a.jpg", comment=PLACE)
    (folder / "b.csv").write_text("1,2")
    with store.journal(path, write=True) as s:
        instruments.log_instrument(s, "meter", "1 %", "borrowed")
        papers.log_paper(
            s, papers.PaperTyped("a mast", "permission", "an office", "PL-1", "2026-02-01", "2031-02-01", "x")
        )
        looked = observations.ObservationTyped("green-terminals", "yes", "2026-02-02", "one screw", "x")
        observations.log_observation(s, "F1", looked)
        s.add(tables.SheetText(revision_id=records.find_revision(s, "r2").key, text="# by hand"))
        for ref, name in itertools.product(("A1", "A5", "F1", "F3"), ("a.jpg", "b.csv")):
            attachments.attach(s, folder / name, ref, caption="seen")
        for ref in ("r1", "r2"):
            # A metre of cable has a price on the sheet.
            prices = {f"cable.{label}.price": {"typed": str(COST)} for label in ("mast", "dump")[: int(ref[1])]}
            sheet.set_values(s, records.find_revision(s, ref), prices, correction="priced")
        attachments.attach(s, folder / "a.jpg", "A1", caption="private1x", private=True)
    return path, poisoned(path)


@pytest.fixture(scope="module")
def tale(poison):
    """All that was gathered of it."""
    with store.journal(poison[0]) as s:
        yield story_of.tell(s)


def everything(made):
    """All that a write-up would carry away: its text, the sources of its pictures, and the names of its files."""
    pictures = [
        base64.b64decode(d).decode() for d in re.findall(r"data:image/svg\+xml;base64,([A-Za-z0-9+/=]+)", made.text)
    ]
    text = re.sub(r"data:image/[a-z+]+;base64,[A-Za-z0-9+/=]+", "", made.text)
    raw = [data.decode("latin-1") for data in made.files.values()]
    return "\n".join([text, *pictures, *made.files, made.folder, *raw])


def leaks(text, shown=()):
    """What private things a text tells that are not shown."""
    letters = folded(text)
    found = {kind for kind, pieces in LETTERS.items() if kind not in shown and any(p in letters for p in pieces)}
    if "prices" not in shown and not SUMS.isdisjoint(re.findall(r"(?<![\d.])\d+", text)):
        found.add("prices")
    return found


def render(tale, reader, form="md", own=None, include=(), folder="pictures"):
    """A write-up with its pictures."""
    # With all that can be asked for.
    extra = frozenset(writeup.EXTRAS)
    return writeup.render(tale, reader, form, own, frozenset(include), folder if form == "md" else None, extra=extra)


def test_every_text_is_filled(poison):
    """Of every table that is told of, whatever column is added: there is a row, and what was written is there."""
    path, marks = poison
    with contextlib.closing(sqlite3.connect(path)) as db:
        empty = [
            t for t in tables.SQLModel.metadata.tables if not db.execute(f'SELECT count(*) FROM "{t}"').fetchone()[0]
        ]
    assert set(empty) <= {"score", *UNTOLD}
    filled = {n for n in columns() if n.split(".")[0] not in empty and not n.endswith("withdrawn_because")}
    assert filled == set(marks.values()) | {n for n in WHOLE if n.split(".")[0] not in empty} | JSON
    assert all(leaks(" ".join(w)) == {kind} for kind, p in PIECES.items() for w in [written(p[0])])


@pytest.mark.parametrize("form", ["md", "html"])
@pytest.mark.parametrize("reader", SHOWN)
def test_nothing_private_is_in_any_byte(tale, poison, reader, form):
    """Text, source, pictures, names of files; yet what the builder wrote beside it is still told."""
    made = render(tale, reader, form)
    shown = SHOWN[reader]
    text = everything(made)
    assert leaks(text, shown) == set()
    assert made.left_out == tuple(said for kind, said in private.KINDS.items() if kind not in shown)
    assert "files" in shown or "private1x" not in text
    told = {poison[1][m] for m in re.findall(r"mark\d+x", text) if m in poison[1]}
    assert len(told) >= LEAST.get(reader, 1), told
    assert reader not in LEAST or LEFT_OUT in text or reader == "workshop"
    if reader == "forum":
        assert "data:image/png" in made.text or any(name.startswith("photo-x") for name in made.files)


def test_what_our_readers_may_have():
    """Nothing for strangers, whom to call for the neighbour, all of it for the builder."""
    assert {name: SHOWN[name] for name in OURS} == OURS


def test_the_workshop_has_all_of_it(tale):
    """Its reader is the builder: every kind of private thing is in it, as it was written."""
    made = render(tale, "workshop")
    assert leaks(made.text) == {*LETTERS, "prices"}
    assert made.left_out == ()
    assert LEFT_OUT not in made.text


def test_the_neighbour_knows_whom_to_call(tale):
    """That and nothing else: the contact is told, also where other texts give it."""
    text = everything(render(tale, "neighbour"))
    assert leaks(text) == {"contact"}
    assert writeup.environment.markdown_text(CONTACT) in text


@pytest.mark.parametrize("kind", private.PRIVATE)
def test_what_is_let_in_is_there_and_nothing_else(tale, tmp_path, kind):
    """Each kind alone, in a template that prints all."""
    (tmp_path / "forum.md").write_text(
        "{{ build }}{% for c in story.chapters %}{{ c.parts }}{{ c.tried }}{{ c.failed }}{{ c.decisions }}{% endfor %}"
    )
    made = render(tale, "forum", own=tmp_path, include=[kind])
    assert leaks(everything(made)) == {kind}
    assert private.KINDS[kind] not in made.left_out
    assert len(made.left_out) == len(private.KINDS) - 1


def attributes(tale):
    """Every name by which anything in a story can be asked for."""
    names = set()
    for part in walked(redact.for_reader(tale, frozenset(private.KINDS)).story, deep=False):
        if isinstance(part, Plain) or dataclasses.is_dataclass(part):
            names |= {n for n in dir(part) if not n.startswith("_")}
    # The same things once more would only take time.
    return sorted(names - {"newest", "standing", "planned", "open", "by_key"})


#: Begins what may be told many times over.
AGAIN = "¶"


def walker(tale, folder):
    """A folder of templates whose pages print whatever can be reached from ``story`` and ``build``, by any name."""
    source = """
{% macro whole(x) %}{{ x|string KINDS }}{% endmacro %}
{% macro walk(x, deep) %}
{% if x is string or x is number or x is none %}{{ x }}
{% elif not deep %}{{ whole(x) }}
{% elif x is mapping %}{% for key, value in x.items() %}{{ key }} {{ walk(value, deep - 1) }}{% endfor %}
{% elif x is iterable %}{% for value in x %}{{ walk(value, deep - 1) }}{% endfor %}
{% else %}
{% for name in NAMES %}{% if x[name] is defined %}{{ name }} {{ walk(x[name], deep - 1) }}{% endif %}{% endfor %}
{% endif %}
{% endmacro %}
{{ whole(story) }} {{ build }} {{ shown }}
{{ whole(story.newest) }} {{ whole(story.standing) }} {{ whole(story.planned) }} {{ whole(story.open) }}
{{ walk(build, 3) }} {{ walk(story, 4) }}
{% for c in story.chapters %}
{% for t in c.tried %}{% for a in t.files %}{{ photo(a) }}{% endfor %}{% endfor %}
{% endfor %}
{% for name in ("elevation", "timeline", "findings", "power", "torque", "watts", "week") %}{{ picture(name) }}
{% endfor %}
""".replace("NAMES", repr(attributes(tale)))
    # What is told a thousand times, within one thing or another, stands each time in a cell of its own.
    kinds = (f"|replace('{kind}(', '|{AGAIN}{kind}(')" for kind in ("Input", "Influence", "Source", "Finding"))
    source = source.replace("KINDS", "".join(kinds))
    for reader in READERS:
        (folder / f"{reader}.md").write_text(source)
    return folder


@pytest.mark.parametrize("reader", ["forum", "workshop"])
def test_a_template_that_prints_all_it_can_reach_tells_nothing(tale, tmp_path, reader):
    """Every field, property and text of the story and the build, by every name there is."""
    made = render(tale, reader, own=walker(tale, tmp_path))
    text = AGAIN.join(dict.fromkeys(everything(made).split(AGAIN)))
    assert leaks(text) == SHOWN[reader] - {"files"}
    assert len(set(re.findall(r"mark\d+x", text))) > 150
    assert [w for w in ("/tmp", "Session", "sqlalchemy", "demo.db", "object at 0x") if w in text] == []


def walked(top, *, deep=True):
    """Everything that can be reached from an object in Python, also by names that a template may not use."""
    seen, waiting = {}, [top]
    while waiting:
        one = waiting.pop()
        if id(one) in seen or isinstance(one, str | bytes | int | float | type(None) | Enum | np.generic):
            if isinstance(one, str):
                seen[id(one)] = one
            continue
        seen[id(one)] = one
        if isinstance(one, dict | types.MappingProxyType):
            waiting += [*one.keys(), *one.values()]
        elif isinstance(one, tuple | list | set | frozenset):
            waiting += one
        elif isinstance(one, Plain):
            waiting += [getattr(one, n) for n in dir(one)]
            waiting += [one._fields] if deep else []
        elif dataclasses.is_dataclass(one):
            own = [f.name for f in dataclasses.fields(one)]
            made = [n for n, v in vars(type(one)).items() if isinstance(v, property)]
            waiting += [getattr(one, n) for n in (*own, *made)]
            waiting += [vars(one)] if deep and hasattr(one, "__dict__") else []
    return list(seen.values())


def test_nothing_is_behind_what_a_template_gets(tale):
    """No record, session, folder or function, and no original: plain values and copies, for reading only."""
    told = redact.for_reader(tale, frozenset())
    reached = walked(told.story)
    assert len(reached) > 2000
    strange = [
        type(o).__name__
        for o in reached
        if not isinstance(o, str | tuple | list | dict | types.MappingProxyType | Plain)
        and not dataclasses.is_dataclass(o)
    ]
    assert strange == []
    assert [o for o in reached if isinstance(o, tables.Record | Path)] == []
    changeable = [o for o in reached if dataclasses.is_dataclass(o) and not type(o).__dataclass_params__.frozen]
    assert changeable == []
    assert leaks("\n".join(o for o in reached if isinstance(o, str))) == set()
    build = told.story.build
    assert (build.place, build.builder, build.contact, build.private_note) == (None,) * 4
    for change in (lambda: setattr(build, "place", PLACE), lambda: delattr(build, "name")):
        with pytest.raises(AttributeError, match="only to be read"):
            change()


def test_the_records_stay_as_they_are(poison):
    """The journal is the same before and after, and nothing in it waits to be written."""
    before = dump(poison[0])
    with store.journal(poison[0], write=True) as s:
        tale = story_of.tell(s)
        for reader in READERS:
            render(tale, reader, folder=None)
        assert [*s.dirty, *s.new, *s.deleted] == []
        assert tale.story.build.place == PLACE
    assert dump(poison[0]) == before


def test_no_private_word_is_drawn(tale):
    """Words become outlines in a picture; they are looked up before that."""
    told = redact.for_reader(tale, frozenset())
    drawn = figures.pictures(told)
    words = [t.get_text() for p in drawn for t in p.draw().findobj(Text)]
    assert len(words) > 100
    assert leaks("\n".join([*words, *(p.title + p.alt + p.svg for p in drawn)])) == set()


def test_what_a_new_picture_tells_is_scrubbed(tale, monkeypatch):
    """Whoever writes one with a label or a place in its title or its words."""
    one = figures.Picture("new", f"At {PLACE}", f"By {BUILDER}.", lambda: None)
    monkeypatch.setitem(figures.FIGURES, "new", lambda of: [one])
    (told,) = figures.pictures_named(redact.for_reader(tale, frozenset({"builder"})), "new")
    assert (told.title, told.alt) == (f"At {LEFT_OUT}>", one.alt)
    (same,) = figures.pictures_named(redact.for_reader(tale, frozenset(private.KINDS)), "new")
    assert same is one


def test_labels_that_tell_something_get_another_name(tale):
    """The same one wherever it stands; the diagram and the names of values go on working."""
    told = redact.for_reader(tale, frozenset())
    newest = told.story.newest
    assert isinstance(newest.design, Design)
    (label,) = {"left-out", "left-out-2"} & set(newest.design.labels("cable"))
    assert f"cable.{label}.length" in {f.path for f in newest.sheet}
    assert f"cable.{label}" in {f.subject for f in newest.review.findings}
    whole = redact.for_reader(tale, frozenset(private.KINDS))
    assert "hollowmere-lane-7-top-bottom" in whole.story.newest.design.labels("cable")


def test_a_private_file_cannot_be_had_by_asking(tale, tmp_path):
    """Not by its reference in something that looks like a file."""
    (tmp_path / "forum.md").write_text(
        "{% for n in range(1, 30) %}{{ photo(namespace(ref='X' ~ n, private=false, media_type='image/jpeg', "
        "caption='', filename='x')) }}{% endfor %}"
    )
    private_refs = [a.ref for c in tale.story.chapters for t in c.tried for a in t.files if a.private]
    made = render(tale, "forum", own=tmp_path)
    assert private_refs
    assert not {f"photo-{ref.lower()}.png" for ref in private_refs} & set(made.files)
    assert made.files


def test_the_folder_of_pictures_tells_nothing(tale, tmp_path):
    """The name of the file is the builder's own; the folder beside it and the links to it are not."""
    out = tmp_path / "Odo-Quillfeather.md"
    made = render(tale, "forum", folder=saving.folder_of(out))
    saving.save(made, out, tmp_path / "journal.db")
    assert made.folder == "forum-pictures"
    assert "](forum-pictures/power-r2.png)" in made.text
    assert (tmp_path / "forum-pictures" / "power-r2.png").exists()
    assert leaks(made.text) == set()


class Stranger:
    """Something nobody thought of when redaction was written."""


def test_what_is_of_no_known_kind_is_refused(tale):
    """Rather than handed on as it is."""
    story = dataclasses.replace(tale.story, today=Stranger())
    with pytest.raises(TypeError, match="A Stranger in a story cannot be redacted"):
        redact.for_reader(dataclasses.replace(tale, story=story), frozenset())


def test_a_remedy_is_told_without_its_price(tale, told):
    """As if the price of the cable were not on the sheet; with it where prices are let in."""
    key = "wiring.voltage-drop", "cable.mast"
    with store.journal(told / "demo.db") as s:
        unpriced = verdict.check(s, "r1", advise=True).by_key[key]
    told_to = [redact.for_reader(tale, kinds) for kinds in (frozenset(), frozenset({"prices"}))]
    reviews = [to.story.chapters[0].review for to in told_to]
    without, priced = (next(f for f in review.findings if f.rule == key[0]) for review in reviews)
    assert unpriced.remedies
    assert without.remedy == unpriced.remedy
    assert " for about " in priced.remedy
    costs = [[e.name for r in f.remedies for e in r.effects].count("cost") for f in (unpriced, without, priced)]
    assert costs[:2] == [0, 0]
    assert costs[2] > 0


def test_parts_that_tell_the_whole_are_taken_out_too(path):
    """The street without its town, the number without the words around it; the region is told in any case."""
    with store.journal(path, write=True) as s:
        tale = story_of.tell(s)
    build = redact.for_reader(tale, frozenset()).story.build
    assert build.name
    tale.secrets.update(
        place=["Hollow Lane 7, Upland"], builder=["Odo Quill and Ada Plum"], contact=["a@b.invalid, or 0000 111 222"]
    )
    shown = dataclasses.replace(
        tale, story=dataclasses.replace(tale.story, build=Plain({"region": "upland farms"}), today="")
    )
    scrub = redact._scrub(shown, frozenset())
    text = "In Hollow Lane 7, upland, Ada Plum and odo quill wrote to a@b.invalid and rang 0000-111-222"
    x = LEFT_OUT
    assert scrub(text) == f"In {x}, {x} and {x} wrote to {x} and rang {x}"


def test_nothing_is_told_as_left_out_that_was_not_there(path):
    """A journal without anything private."""
    with store.journal(path) as s:
        assert writeup.render(story_of.tell(s), "forum", "md").left_out == ()


def test_every_private_field_is_named_as_it_is():
    """The table of private fields names no field that is gone."""
    build = set(tables.Build.model_fields)
    assert set(private.OF_THE_BUILD) <= build
    known = {n for c in tables.NUMBERED.values() for n in c.model_fields} | set(tables.Option.model_fields) | build
    known |= set(tables.PartUse.model_fields)
    known |= {f.name for f in dataclasses.fields(story_of.Compared)} | {e.name for e in catalogue().values()}
    assert set(private.FIELDS) | private.NEVER <= known
    assert set(private.FIELDS.values()) | set(private.OF_THE_BUILD) | {"files"} == set(private.KINDS)
