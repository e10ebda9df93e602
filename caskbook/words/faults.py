"""Words for what is wrong with a cask, how it leaks, how it smells, and the wines that make it wine-held."""

from __future__ import annotations

from caskbook.words.spelling import Ask, Kind

_WHERE = ("joint-leak", "head-leak", "croze-leak", "stave-end-leak")
_SULPHURY = Ask("struck match, or rubber? They are kept apart", ("struck-match", "rubbery"))

_SMELLS: dict[str, tuple[str, ...]] = {
    "musty": ("mould", "mouldy", "mildew", "mildewed", "must"),
    "acetic": ("vinegar", "vinegary", "acetic acid", "pricked"),
    "solvent": ("ethyl acetate", "solventy", "nail varnish"),
    "struck-match": ("match", "burnt match"),
    "rubbery": ("rubber", "burnt rubber"),
    "brett": ("barnyard", "brettanomyces", "bretty"),
    "rancid": ("rancio fault", "rancidity"),
    "fermenting": ("refermenting", "working again", "fermentation"),
    "film-yeast": ("flor", "film", "wine flowers"),
}
NOSE_FAULT = Kind(
    "fault of a nose",
    tuple(_SMELLS),
    _SMELLS,
    {
        "sulphury": _SULPHURY,
        "sulphur": _SULPHURY,
        "sour": Ask("vinegar, or a wine working again?", ("acetic", "fermenting")),
    },
)

# `cracked` and `broken` stand for staves and head pieces alike: the place says which. `leak` and `peg` are what a leak
# or a peg of a full cask is called once it has been emptied.
DEFECT = Kind(
    "defect",
    (
        "leak",
        *_WHERE,
        "pinhole",
        "porous-stave",
        "blister",
        "cracked",
        "broken",
        "bung-stave-crack",
        "worn-bung-hole",
        "chipped-chime",
        "loose-hoop",
        "missing-hoop",
        "burst-hoop",
        "sprung-head",
        "dried-out",
        "green-wood",
        *_SMELLS,
        "iron-stain",
        "residue",
        "thin",
        "soaked-through",
        "woodworm",
        "peg",
    ),
    _SMELLS
    | {
        "leak": ("leaking",),
        "joint-leak": ("seam leak", "leaking joint"),
        "head-leak": ("leaking head",),
        "croze-leak": ("leaking croze", "groove leak"),
        "stave-end-leak": ("end grain leak", "stave end"),
        "pinhole": ("worm hole", "worm hole leak"),
        "porous-stave": ("soaker", "porous"),
        "blister": ("blistered", "blistering"),
        "cracked": (
            "crack",
            "cracked stave",
            "split",
            "split stave",
            "check",
            "shake",
            "cracked head",
            "cracked piece",
        ),
        "broken": ("broken stave", "break", "broken head", "broken piece"),
        "bung-stave-crack": ("cracked bung stave", "crack at the bung", "bung stave cracked"),
        "worn-bung-hole": ("worn bung", "bung hole worn"),
        "chipped-chime": ("chipped chimb", "chipped chine", "chime chipped", "broken chime"),
        "loose-hoop": ("slack hoop", "hoop loose"),
        "missing-hoop": ("hoop missing", "lost hoop"),
        "burst-hoop": ("broken hoop", "hoop burst", "snapped hoop"),
        "sprung-head": ("head sprung", "blown head"),
        "dried-out": ("dried", "shrunk", "shrunken", "dry wood"),
        "green-wood": ("green", "unseasoned wood"),
        "iron-stain": ("iron", "rust stain", "black stain"),
        "residue": ("lees or liquor left", "lees", "liquor left", "dregs", "liquor", "lees left"),
        "thin": ("thin stave", "thin wood", "worn thin"),
        "soaked-through": ("soaked", "soak through"),
        "woodworm": ("beetle", "borer", "wood borer"),
        "peg": ("pegged", "spiled"),
    },
    {
        "dry": Ask("dried out, or does it not leak?", ("dried-out",)),
        "chime leak": Ask("at the croze, or through the stave ends?", ("croze-leak", "stave-end-leak")),
        "leaker": Ask("a leaker is a cask, not a place: where does it leak?", _WHERE),
        "worm": Ask("a hole that leaks, or live woodworm?", ("pinhole", "woodworm")),
        "sulphury": _SULPHURY,
        "sulphur": _SULPHURY,
        "shive": Ask("a worn bung hole, or a cracked bung stave?", ("worn-bung-hole", "bung-stave-crack")),
        "stain": Ask("of iron, or soaked through?", ("iron-stain", "soaked-through")),
        "worn": Ask("the bung hole, or thin staves?", ("worn-bung-hole", "thin")),
    },
)

LEAK_WORDS: tuple[str, ...] = ("weep", "drip", "run")
_LEAKING: dict[str, tuple[str, ...]] = {
    "weep": ("sweat", "damp", "weeping", "sweating", "seep"),
    "drip": ("dripping", "dropping"),
    "run": ("running", "pouring", "stream"),
}
LEAK = Kind("severity of a leak (weep, drip, run)", LEAK_WORDS, _LEAKING)
# On a look `dry` is plain: the leak has stopped.
SEEN = Kind(
    "thing seen of a leak (dry, weep, drip, run)",
    ("dry", *LEAK_WORDS),
    _LEAKING | {"dry": ("stopped", "tight", "took up", "taken up", "not leaking")},
    {"sound": Ask("does not leak, or rings true when struck?", ("dry",))},
)

_WINES: dict[str, tuple[str, ...]] = {
    "wine": ("vin", "red wine", "white wine"),
    "sherry": ("jerez", "xeres"),
    "oloroso": ("oloroso sherry",),
    "fino": ("fino sherry",),
    "amontillado": ("amontillado sherry",),
    "manzanilla": ("manzanilla sherry",),
    "palo-cortado": ("palo cortado sherry",),
    "pedro-ximenez": ("px", "pedro ximenez sherry", "px sherry"),
    "port": ("port wine", "porto"),
    "madeira": ("madeira wine",),
    "marsala": (),
    "moscatel": ("muscatel", "moscatel sherry"),
    "sauternes": (),
    "vermouth": ("vermut",),
}
WINE_WORDS: tuple[str, ...] = tuple(_WINES)
WINE = Kind("wine", WINE_WORDS, _WINES)
# These end in a wine word and are beers.
NOT_WINE: tuple[str, ...] = ("barley wine",)

# What other houses fill: common practice, no source.
SPIRIT_WORDS: tuple[str, ...] = (
    "spirit", "whisky", "malt", "grain", "bourbon", "rye", "corn", "wheat", "rum", "brandy", "cognac", "armagnac", "calvados", "grappa",
    "tequila", "mezcal", "gin", "vodka", "aquavit", "pisco", "cachaca", "beer", "ale", "stout", "cider", "mead",
)  # fmt: skip
SPIRIT = Kind("spirit or wine", SPIRIT_WORDS, {
    "whisky": ("whiskey", "scotch", "scotch whisky", "blended whisky"), "malt": ("malt whisky", "malt whiskey", "single malt", "single malt whisky", "new make malt"),
    "grain": ("grain whisky", "grain whiskey", "single grain", "new make grain"), "bourbon": ("bourbon whiskey", "ex bourbon"),
    "rye": ("rye whiskey", "rye whisky"), "rum": ("rhum", "ron"), "beer": ("lager",),
})  # fmt: skip
