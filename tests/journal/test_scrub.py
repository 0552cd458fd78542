"""Private words in a text: known however they are written, and nothing else taken for them."""

import pytest

from journal.publish.likeness import Likeness
from journal.publish.scrub import LEFT_OUT, Scrub, pieces

SCRUBBED = [
    ("Ash", "Ash, ash and ASH; an ash-tree, no washer, no Ashley", "X, X and X; an X-tree, no washer, no Ashley"),
    ("Ash", "toAsh7.jpg, IMG_ash.jpg, dash", "toX7.jpg, IMG_X.jpg, dash"),
    ("Windle Fold", "at windle  fold's gate; Windle-Fold_2.jpg, WINDLEFOLD", "at X's gate; X_2.jpg, X"),
    ("Windle Fold", "PhotosOfWindleFoldings", "PhotosOfXings"),
    ("Windle Fold", "Windle, fold it; unwindle folder", "X it; unXer"),
    ("Fish & Co <Ltd>", "Fish &amp; Co &lt;Ltd&gt;; fish &amp;amp; co ltd; Fish and Co", "X&gt;; X; Fish and Co"),
    ("Ærøskøbing", "ÆRØSKØBING", "X"),
    ("São João", "Sao Joao, SÃO-JOÃO, Sa\u0303o Joa\u0303o", "X, X, X"),
    ("0000 111 222", "0000111222, 0000-111-222, (0000) 111 222", "X, X, (X"),
    ("4711", "4711 W? No: serial 4711; 14711, 47112, 0.4711", "X W? No: serial X; 14711, 47112, 0.X"),
    ("47", "47 W", "47 W"),
    ("A3", "in A3", "in A3"),
    ("none", "Brake: none", "Brake: none"),
    ("***", "*** a * b", "*** a * b"),
    ("J", "J said", "J said"),
    ("Jo", "Jo said; Jonas, banjo", "X said; Jonas, banjo"),
]  # fmt: skip


@pytest.mark.parametrize(("secret", "text", "expected"), SCRUBBED, ids=[s for s, *_ in SCRUBBED])
def test_a_secret_is_known_however_it_is_written(secret, text, expected):
    """And nothing else is taken for it."""
    assert Scrub({"place": [secret]})(text).replace(LEFT_OUT, "X") == expected


AMOUNTS = [
    ("paid 40 GBP for it", "paid X for it"),
    ("GBP 40.50, £40, 40 £, 1 000 gbp", "X, X, X, X"),
    ("40&nbsp;GBP or **40** GBP", "X or **X"),
    ("40 A, 12 V, 62 rpm/V, 5 Ah", "40 A, 12 V, 62 rpm/V, 5 Ah"),
    ("GBP is a currency; M12 GBP", "GBP is a currency; M12 GBP"),
    ("$12 and €3", "X and X"),
    ("it cost 4177 euro, and 3 dollars", "it cost X, and X"),
    ("40 pounds of lead", "40 pounds of lead"),
    ("30 EUR", "30 EUR"),
]


@pytest.mark.parametrize(("text", "expected"), AMOUNTS)
def test_money_is_known(text, expected):
    """With the signs that everybody uses, and the codes of this journal."""
    scrub = Scrub({}, currencies=["GBP"])
    assert scrub(text).replace(LEFT_OUT, "X") == expected
    assert scrub.taken == ({"prices"} if "X" in expected else set())
    assert Scrub({})(text) == text


def test_what_is_let_in_stays_whole():
    """A contact may hold the builder's name; what merely overlaps with it does not stay."""
    scrub = Scrub({"builder": ["Odo Quill"], "place": ["Quill Lane"]}, kept=["Odo Quill, 0000 111"])
    assert scrub("Ask Odo Quill, 0000 111. Odo Quill said") == f"Ask Odo Quill, 0000 111. {LEFT_OUT} said"
    assert scrub.taken == {"builder"}
    assert Scrub({"place": ["Fold Lane"]}, kept=["Windle Fold"])("Windle Fold Lane") == f"Windle {LEFT_OUT}"


@pytest.mark.parametrize("text", ["A. Schmidt was there", "Schmidt, Anna said so", "the Schmidt shed", "anna schmidt"])
def test_a_name_is_known_however_it_is_written(text):
    """Surname first, with an initial, alone."""
    scrub = Scrub({"builder": pieces("builder", "Anna Schmidt")})
    assert "schmidt" not in scrub(text).casefold()


@pytest.mark.parametrize(
    ("stated", "written"),
    [
        ("+44 1234 567890", "call 01234 567890"),
        ("01234 567890", "call +44 (0)1234 567890"),
        ("0049 30 1234567", "030/1234567"),
    ],
)
def test_a_telephone_number_is_known_from_abroad_and_at_home(stated, written):
    """With the code of the country or the leading zero."""
    scrub = Scrub({"contact": pieces("contact", stated)})
    assert "567890" not in scrub(written)
    assert "1234567" not in scrub(written)


WHO = ["Pim Ordway", "Ines Calloway, licensed electrician", "an electrician", "Licensed Electrician", "the builder"]
TOLD_OF_PEOPLE = [
    ("Pimm was here", "X was here"),
    ("P.O. too; P. Ordway's fault", "X too; X's fault"),
    ("Mr Ordwai and Herr Ordwey said so", "Mr X and Herr X said so"),
    ("ORDWAY, Ordway-Pim", "X, X"),
    ("loose, or so Ines C. thinks", "loose, or so X. thinks"),
    ("what of Ines Caloway's 340 ms", "what of X's 340 ms"),
    ("I, Pim Ordway, read it", "I, X, read it"),
    ("an electrician and the builder; Licensed electricians. Electrician!",
     "an electrician and the builder; Licensed electricians. Electrician!"),
    ("we went ordinary ways past a pimple and a line", "we went ordinary ways past a pimple and a line"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), TOLD_OF_PEOPLE)
def test_who_fitted_or_tested_is_known_in_short_and_with_a_slip(text, expected):
    """As the builder is; a role is nobody's name."""
    scrub = Scrub({"people": [p for who in WHO for p in pieces("people", who)]}, like=Likeness({"people": WHO}))
    assert scrub(text).replace(LEFT_OUT, "X") == expected
    assert scrub.taken == ({"people"} if "X" in expected else set())
