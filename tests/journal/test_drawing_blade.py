"""What is read on a blade's sheet before it is cut."""

from types import SimpleNamespace

from calc.finding import Status
from journal.drawing.blade import CUT_RULES
from journal.drawing.subject import checks_note


def test_what_the_checks_fail_is_read_before_anything_is_cut():
    """Blades that tear off are not cut; what concerns another part is not told there."""

    def note(*findings, rules=CUT_RULES, **order):
        made = [SimpleNamespace(rule=r, status=s, title=t) for r, s, t in findings]
        return checks_note(SimpleNamespace(ref="r1", checked=lambda: SimpleNamespace(findings=made)), rules, **order)

    assert note(("blade.root", Status.OK, "Roots"), ("mast.tube", Status.FAIL, "Mast")) == ""
    said = note(("blade.root", Status.FAIL, "Strength of the blade roots"), ("hub.bolts", Status.DANGER, "Bolts"))
    assert said.startswith("DO NOT CUT YET. The checks fail: Strength of the blade roots; Bolts.")
    hub = note(("hub.bolts", Status.DANGER, "Bolts"), rules=("hub.",), order="DO NOT MAKE IT YET")
    assert hub.startswith("DO NOT MAKE IT YET. The checks fail: Bolts.")
