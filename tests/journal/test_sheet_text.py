"""What a builder writes around the values of a sheet outlives the edit: comments, order, blank lines, own spellings."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal.book import attempts, records, revisions, sheet, sheet_toml, store
from journal.book.tables import SheetText
from journal.errors import BadInput, Refused
from tests.conftest import dump, rows

OWN = """\
# copied from the notebook

[rotor]   # the second one
# measured twice, with the steel tape
diameter = "2.2 m"   # at the tips
blades = "3"

# the mast stands before the cables in the notebook
[mast]
kind = "guyed tilt-up"

[cable.shed]
length = "5 m"
# the fuse is in the tin box
fuse = "32 A"

[cable.mast]
length = "34 m"
"""


@pytest.fixture
def kept(s):
    """A sheet that was read from a file of the builder's own."""
    of = records.find_revision(s)
    sheet_toml.read_sheet(s, of, OWN, "my.toml")
    return of


def lines(text):
    """Lines of a text but the program's own help and examples, which begin a line with # and say what is accepted."""
    own = OWN.splitlines()
    return [line for line in text.splitlines() if line in own]


def test_a_text_of_ones_own_comes_back_as_it_was_written(s, kept):
    """Every line of it, in its order, and beside each what else could be set."""
    text = sheet_toml.to_toml(s, kept)
    assert [line for line in lines(text) if line] == [line for line in OWN.splitlines() if line]
    assert "# Number of blades. 1 to 24.\nblades" in text
    assert '# height = { value = "8 m", from = "estimate" }' in text
    assert text.count("[site]") == text.count("[storage]") == 1


def test_a_text_without_anything_of_ones_own_is_not_kept(s):
    """The sheet as the program writes it is written anew each time."""
    of = records.find_revision(s)
    sheet.set_values(s, of, {"rotor.diameter": {"typed": "2.2 m"}})
    before = sheet_toml.to_toml(s, of)
    after = before.replace('"2.2 m"', '"2.4 m"')
    assert sheet_toml.edit_sheet(s, of, before, after) == (1, 0, False)
    assert s.exec(sheet_toml.select(SheetText)).all() == []
    assert sheet_toml.to_toml(s, of) == after


def test_a_comment_alone_is_kept(s):
    """Without a value being set anew; taken out again, nothing is left of it."""
    of = records.find_revision(s)
    sheet.set_values(s, of, {"rotor.diameter": {"typed": "2.2 m"}})
    plain = sheet_toml.to_toml(s, of)
    noted = plain.replace("[rotor]\n", "[rotor]\n# borrowed from the neighbour\n")
    assert sheet_toml.edit_sheet(s, of, plain, noted) == (0, 0, True)
    assert "# borrowed from the neighbour" in sheet_toml.to_toml(s, of)
    shown = sheet_toml.to_toml(s, of)
    assert sheet_toml.edit_sheet(s, of, shown, shown.replace("# borrowed from the neighbour\n", "")) == (0, 0, True)
    assert sheet_toml.to_toml(s, of) == plain


def test_values_set_elsewhere_are_in_the_text(s, kept):
    """One that changed, with its comment; one that is new, in its place; one of a new label; and one that is gone."""
    changed = {"rotor.diameter": "2.4 m", "mast.height": "8 m", "cable.house.length": "9 m", "site.altitude": "300 m"}
    sheet.set_values(s, kept, {path: {"typed": typed} for path, typed in changed.items()})
    sheet.unset(s, kept, ["cable.shed.fuse"])
    text = sheet_toml.to_toml(s, kept)
    assert 'diameter = { value = "2.4 m", from = "estimate" }   # at the tips\n' in text
    assert 'kind = "guyed tilt-up"\n# Height of the rotor\'s centre above ground. 0.5 m to 100 m.\nheight = {' in text
    assert text.index("[cable.mast]") < text.index("[cable.house]")
    assert "# the fuse is in the tin box" in text
    assert 'fuse = "32 A"' not in text
    assert sheet_toml.from_toml(text) == sheet_toml.from_toml(sheet_toml._plain(sheet.load_sheet(s, kept).values)) | {
        "rotor.blades": {"typed": "3"}, "mast.kind": {"typed": "guyed tilt-up"},
        "cable.shed.length": {"typed": "5 m"}, "cable.mast.length": {"typed": "34 m"},
    }  # fmt: skip


def test_the_text_goes_on_to_the_next_revision(s, kept):
    """With the sheet it stands around."""
    new = revisions.revise(s)
    assert sheet_toml.to_toml(s, new) == sheet_toml.to_toml(s, kept).replace("sheet of r1", "sheet of r2")


def test_a_part_of_a_sheet_does_not_replace_the_text_of_the_whole(s, kept):
    """What a file of two values says around them is not worth losing the rest for."""
    sheet_toml.read_sheet(s, kept, '# only the blades\n[rotor]\nblades = "5"\n', "more.toml")
    text = sheet_toml.to_toml(s, kept)
    assert "# measured twice, with the steel tape" in text
    assert 'blades = { value = "5", from = "estimate" }' in text


def test_a_frozen_text_is_changed_only_as_a_correction(s, kept):
    """And the history says so."""
    attempts.log_attempt(s, attempts.AttemptTyped("raised it"))
    before = sheet_toml.to_toml(s, kept)
    after = before.replace("steel tape", "tape of the school")
    with pytest.raises(Refused, match="frozen"):
        sheet_toml.edit_sheet(s, kept, before, after)
    more = before.replace("steel tape", "steel tape\n# and once more in May", 1)
    assert sheet_toml.edit_sheet(s, kept, before, more) == (0, 0, True)
    before, after = more, more.replace("steel tape", "tape of the school")
    assert sheet_toml.edit_sheet(s, kept, before, after, "remembered it wrongly") == (0, 0, True)
    s.commit()
    found = rows(s.info["path"], "SELECT action, ref, why FROM history ORDER BY id DESC LIMIT 1")
    assert found == [("correction", "r1 text of the sheet", "remembered it wrongly")]


def test_a_wrong_value_keeps_nothing_of_the_text(path):
    """All or none."""
    before = dump(path)
    with pytest.raises(BadInput), store.journal(path, write=True) as s:
        sheet_toml.read_sheet(s, records.find_revision(s), OWN + 'area = "2 kg"\n', "my.toml")
    assert dump(path) == before


#: Ways to write TOML that have no place for help beside a value; each sets the same.
ODD = [
    'rotor.diameter = "2.2 m" # tips\nrotor.blades = "3"\ncable.mast.length = "34 m"\n',
    'rotor = { diameter = "2.2 m", blades = "3" } # tips\n[cable]\nmast = { length = { value = "34 m" } }\n',
    '[cable]\nmast.length = "34 m" # tips\n[rotor]\ndiameter = "2.2 m"\nblades = "3"\n',
    '[cable.mast]\nlength = "34 m"\n[rotor]\ndiameter = """\n2.2 m""" # tips\nblades = 3\n',
    '[cable]\n# tips\n[rotor]\ndiameter = "2.2 m"\nblades = "3"\n[cable.mast]\nlength = "34 m"\n',
    '[rotor.diameter]\nvalue = "2.2 m" # tips\n[rotor.blades]\nvalue = "3"\n[cable.mast.length]\nvalue = "34 m"\n',
    "[rotor]\r\ndiameter = '2.2 m' # tips\r\n\"blades\" = '3'\r\n['cable'.\"mast\"]\r\nlength = '34 m'\r\n",
]


@pytest.mark.parametrize("text", ODD, ids=range(len(ODD)))
def test_odd_ways_to_write_it_never_change_a_value(s, text):
    """The comment stays; what is set later can be read from it, too."""
    of = records.find_revision(s)
    sheet_toml.read_sheet(s, of, text, "odd.toml")
    sheet.set_values(s, of, {"rotor.brake": {"typed": "none"}, "cable.mast.area": {"typed": "10 mm2"}})
    sheet.set_values(s, of, {"rotor.diameter": {"typed": "2.4 m"}})
    sheet.unset(s, of, ["rotor.blades"])
    shown = sheet_toml.to_toml(s, of)
    assert {path: item["typed"] for path, item in sheet_toml.from_toml(shown).items()} == {
        "rotor.diameter": "2.4 m", "cable.mast.length": "34 m", "rotor.brake": "none", "cable.mast.area": "10 mm2",
    }  # fmt: skip
    assert "# tips" in shown


#: What people write in comments; a number in front tells them apart from the program's own.
WORDS = st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), max_size=20)


def noted(text):
    """The comments of a text that a test put there, in order."""
    return [line for line in text.split("\n") if line.strip().startswith("#") and line.strip()[2:3].isdigit()]


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(notes=st.lists(WORDS, min_size=1, max_size=5), order=st.integers(0, 10**6))
def test_whatever_is_written_between_the_lines_stays(opened, notes, order):
    """Comments and blank lines at any place of the sheet, and its sections in any order, come back as they were."""
    chance = random.Random(order)
    with opened(write=True) as s:
        of = records.find_revision(s)
        sheet.set_values(s, of, {"rotor.diameter": {"typed": "2.2 m"}, "cable.mast.length": {"typed": "34 m"}})
        before = sheet_toml.to_toml(s, of)
        head, *sections = before.split("\n\n")
        chance.shuffle(sections)
        written = "\n\n".join([head, *sections, ""]).split("\n")
        for i, note in enumerate(notes):
            at = chance.randint(0, len(written))
            written[at:at] = [
                *chance.choices(["", "  "], k=chance.randint(0, 1)),
                f"{chance.choice(['', '  '])}# {i} {note}",
            ]
        after = "\n".join(written)
        sheet_toml.edit_sheet(s, of, before, after)
        shown = sheet_toml.to_toml(s, of)
        assert sorted(noted(shown)) == sorted(noted(after))
        assert sheet_toml.from_toml(shown) == sheet_toml.from_toml(before)
        assert sheet_toml.edit_sheet(s, of, shown, shown) == (0, 0, False)
        s.rollback()
