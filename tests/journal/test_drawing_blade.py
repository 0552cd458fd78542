"""What is read on a blade's sheet before it is cut."""

from types import SimpleNamespace

from calc.finding import Status
from journal.drawing import blade


def test_what_the_checks_fail_is_read_before_anything_is_cut():
    """Blades that tear off are not cut; what concerns another part is not told there."""

    def note(*findings):
        made = [SimpleNamespace(rule=r, status=s, title=t) for r, s, t in findings]
        return blade._checks_note(SimpleNamespace(ref="r1", checked=lambda: SimpleNamespace(findings=made)))

    assert note(("blade.root", Status.OK, "Roots"), ("mast.tube", Status.FAIL, "Mast")) == ""
    said = note(("blade.root", Status.FAIL, "Strength of the blade roots"), ("hub.bolts", Status.DANGER, "Bolts"))
    assert said.startswith("DO NOT CUT YET. The checks fail: Strength of the blade roots; Bolts.")
