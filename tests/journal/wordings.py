"""Other wordings of private things, by kind: one half to work with, the other kept apart and only ever counted."""

SECRETS = {
    "place": ["Hollow Lane 7, Windle Fold, 54.47781 N 2.11234 W", "Mühlenstraße 12, Øvre Ærøskov"],
    "builder": ["Odo Quillfeather"],
    "contact": ["ring 0000 111 2223 or wind@quern-mill.invalid"],
    "serials": ["KX-4711-B208", "invented-0001"],
    "notes": ["the spare key hangs under the blue pot behind the shed"],
}

WORKED_WITH = {
    "place": [
        "7 Hollow Lane", "Hollow Ln 7", "Hollow Lane No. 7", "Hollow Lane", "hollow-lane 7", "Hollow Lane seven",
        "Hollow Laen 7", "Hollw Lane 7", "Windle-Fold", "WINDLEFOLD", "Windle Fold's", "windle.fold", "W. Fold",
        "Windel Fold", "Fold of Windle", "Hollow L. 7", "IMG_HollowLane7.jpg", "Hollow%20Lane%207",
        "Muehlenstrasse 12", "Mühlenstr. 12", "Muhlenstraße 12", "Mühlen-Straße 12", "12 Mühlenstraße", "MÜHLENSTRASSE",
        "Ovre Aeroskov", "Øvre Ærøskovs", "54.4778, -2.1123", "54.48/-2.11", "-2.11234, 54.47781",
        "54°28'40\"N 2°06'44\"W", "https://maps.invalid/@54.47781,-2.11234,17z", "54,47781 N 2,11234 W",
        "N 54 28.669 W 2 06.740",
    ],
    "builder": [
        "O. Quillfeather", "Quillfeather, Odo", "Mr Quillfeather", "Quilfeather", "Quillfeather's", "the Quillfeathers",
        "odo_quillfeather", "Odo Quillfaether", "O.Q.", "ODO QUILLFEATHER", "Quill-Feather",
    ],
    "contact": [
        "wind (at) quern-mill (dot) invalid", "wind@quern-mill.invalid", "WIND@QUERN-MILL.INVALID",
        "mailto:wind%40quern-mill.invalid", "wynd@quern-mill.invalid", "+44 000 111 2223", "0000/111-2223",
        "0000 111 2232",
    ],
    "serials": ["KX4711B208", "kx 4711 b208", "KX-47II-B208", "KX-4711-B280", "K X 4711 / B 208", "INVENTED 0001"],
    "notes": [
        "The spare key hangs, under the blue pot", "spare key hangs under the blue pott behind the shed",
        "THE SPARE KEY HANGS UNDER THE BLUE POT BEHIND THE SHED", "key hangs under the blue pot",
    ],
}  # fmt: skip

KEPT_APART = {
    "place": [
        "number 7, Hollow Lane", "Hollow-Lane", "7, hollow ln.", "Hollow Lanes", "Holow Lane 7", "Hollow  lane, no 7",
        "HollowLane", "Hollow Lane #7", "Seven Hollow Lane", "Hollow Lnae 7", "Windle Fold Farm", "Windlefold",
        "Wimdle Fold", "Windle Folds", "the Fold at Windle", "Windle F.", "windle_fold.png", "Windle&nbsp;Fold",
        "Windle Flod", "Mühlenstrasse 12", "Muehlenstr 12", "Mühlen Str. 12", "muhlenstrasse", "Mühlenstraße Nr. 12",
        "Mühlnstraße 12", "Oevre Aeroeskov", "Øvre Aerøskov", "ØVRE ÆRØSKOV", "54.478 -2.112", "lat=54.47781&lon=-2.11234",
        "geo:54.47781,-2.11234", "54° 28.67' N, 2° 6.74' W", "W 2.1123 N 54.4778", "54.47781%2C-2.11234",
        "542840N 0020644W",
    ],
    "builder": [
        "Quillfeather", "quillfeather odo", "Odo Q.", "Odo Quillfether", "Quillfeathr", "o.quillfeather",
        "OdoQuillfeather", "Quillfeather O.", "O Quillfeather", "Odo's",
    ],
    "contact": [
        "wind at quern-mill dot invalid", "wind[at]quern-mill.invalid", "w i n d @ quern-mill . invalid",
        "wind@quernmill.invalid", "wind@quern-mil.invalid", "00001112223", "(0000) 111.2223", "+44 (0)000 111 2223",
    ],
    "serials": ["KX/4711/B208", "KX-4711-82O8", "kx_4711_b208.jpg", "KX-4711-B20", "invented0001", "lnvented-0001"],
    "notes": [
        "spare key hangs under blue pot behind shed", "the spare-key hangs under the blue-pot",
        "Spare keys hang under the blue pot behind the shed", "hangs under the blue pot behind the shed",
    ],
}  # fmt: skip

#: What nobody may take for any of them: honest sentences of the trade.
HONEST = [
    "The hollow section of the lane side post is 60.3 mm across.",
    "Hollow tube, 7 bolts; the fold at its edge is 2 mm.",
    "The key is under the hub; the blue wire goes behind the shed door.",
    "Wind 4.6 m/s at 10 m, 54.4 W and 2.1 A, 12 V 60 Ah on 2026-01-12 at 21:40.",
    "A mill at the quern end would wind itself up.",
    "Bought 4711 screws; KX is the size of the plug; B208 is not a bearing of ours.",
    "Lane, fold and hollow; the feather of the blade is a quill thick.",
    "invented for the purpose, version 0002",
    "250 x 6.2 mm PVC-U pipe, 16 mm2 H07RN-F, 7.5 rpm/V, 34 m of 2.5 mm2 cable; 0.24 ohm at 20 degC",
    "Die Mühle mahlt; the street lamp at 12 V drew 0.3 A.",
    "In May the odd gust came over the hedge; mark the spot and bill the seller.",
]
