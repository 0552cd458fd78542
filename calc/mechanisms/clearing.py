"""What people write, made plain before it is looked through: signs, short forms, words from abroad.

All of it is how people write, from memory; common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata

#: Words that a German or French builder leaves standing in English, without their accents. None that is an English word
#: of another sense ("die", "lose", "vent", "pale", "lager", "tension", "use").
_LEFT = {
    "battery": "batterie batterien akku akkus",
    "bearing": "kugellager walzlager waelzlager roulement roulements",
    "bent": "verbogen tordu",
    "blade": "flugel fluegel rotorblatt rotorblatter rotorblaetter helice",
    "brake": "bremse frein",
    "broken": "kaputt kaput gebrochen casse cassee casses cassees defekt",
    "brush": "kohlen kohlebursten charbons",
    "cable": "kabel leitung",
    "charge": "ladt laedt",
    "controller": "laderegler regulateur regler",
    "current": "strom courant",
    "diode": "dioden",
    "electricity": "electricite",
    "empty": "leer vide",
    "fuse": "sicherung fusible",
    "generator": "lichtmaschine alternateur generatrice",
    "gone": "abgefallen",
    "guy": "abspannung hauban haubans",
    "hot": "heiss chaud",
    "ice": "eis givre glace",
    "inverter": "wechselrichter onduleur",
    "lightning": "blitz foudre",
    "loose": "locker desserre decolle decolles decollee",
    "loud": "laut bruyant",
    "magnet": "magnete magneten aimant aimants",
    "mast": "turm pylone",
    "no": "kein keine keinen",
    "noise": "larm laerm gerausch geraeusch bruit",
    "not": "nicht nix",
    "nothing": "nichts rien",
    "rectifier": "gleichrichter redresseur",
    "rust": "rost rouille",
    "slip ring": "schleifring schleifringe",
    "storm": "sturm tempete",
    "terminal": "klemme klemmen",
    "thin": "dunn duenn",
    "turn": "dreht tourne drehen",
    "voltage": "spannung",
    "water": "wasser eau",
    "weak": "schwach faible",
    "wheel": "windrad eolienne",
    "winding": "wicklung wicklungen bobinage bobine",
    "worn": "usee abgenutzt",
    "wrong": "falsch",
}
ABROAD = {word: english for english, line in _LEFT.items() for word in line.split()}

#: What is put for what, in this order: regular expressions.
_PUT = tuple(
    (re.compile(found), put)
    for found, put in (
        (r"\bas though\b", "as if"),
        (r"&", " and "),
        (r"\bw/o\b", "without "),
        (r"\bw/", "with "),
        (r"\b(?:tho|altho)\b", "though"),
        (r"\bthru\b", "through"),
        (r"\bnite\b", "night"),
        # A denial said twice is one.
        (r"\b(not|no|nothing|never|[a-z]+nt|cannot)\b([^.,;:!?]*?)\bno (?:more|longer)\b", r"\1\2any more"),
        # Words that are written in one and in two.
        (r"\b(?:amp|ampere|amps)[ -]?(?:meter|metre)s?\b", "ammeter"),
        (r"\bvolts?[ -](?:meter|metre)\b", "voltmeter"),
        (r"\bmulti[ -](?:meter|metre)\b", "multimeter"),
        (r"\bslip ?-?rings?\b", "slip ring"),
        (r"\brain[ -]?water\b", "rain water"),
        (r"\b(?:drain|sewer|water|waste)[ -]?pipe\b", "plastic pipe"),
        (r"\bfused (?=solid|together|shut|closed|tight)", "shorted "),
        (r"\bhead[ -]?wind\b", "wind"),
    )
)


def made_plain(text: str) -> str:
    """A text in small letters without accents and apostrophes, with what is written in several ways in one of them.

    Examples
    --------
    >>> made_plain("It won't charge no more & the amp meter's stuck")
    'it wont charge any more  and  the ammeter stuck'
    >>> made_plain("das Kugellager ist kaputt")
    'das bearing ist broken'
    """
    small = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c for c in re.sub(r"['’`´]", "", small) if not unicodedata.combining(c))
    for found, put in _PUT:
        plain = found.sub(put, plain)
    return re.sub(r"[a-z]+", lambda m: ABROAD.get(m[0], m[0]), plain)
