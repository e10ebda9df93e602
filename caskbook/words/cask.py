"""Words for what a cask is: its parts, its type with the usual figures, its wood, and what it has held."""

from __future__ import annotations

from dataclasses import dataclass

from caskbook.words.spelling import Ask, Kind

_WHICH_QUARTER = Ask("a quarter piece of a head, or a quarter hoop?", ("quarter-piece", "quarter-hoop"))

PART = Kind(
    "part of a cask",
    (
        "stave",
        "bung-stave",
        "bulge",
        "chime",
        "croze",
        "howel",
        "joint",
        "head",
        "head-piece",
        "middle-piece",
        "quarter-piece",
        "cantle",
        "dowel",
        "hoop",
        "chime-hoop",
        "quarter-hoop",
        "bulge-hoop",
        "bung",
        "bung-hole",
        "bush",
        "spile",
        "wedge",
        "flag",
        "char-layer",
        "red-layer",
    ),
    {
        "stave": ("lag", "douelle", "stav"),
        "bung-stave": ("bored stave", "bung hole stave"),
        "bulge": ("bilge", "belly", "bouge"),
        "chime": ("chimb", "chine"),
        "croze": ("groove", "jable"),
        "joint": ("seam", "stave joint", "head joint"),
        "head": ("end", "fond", "cask end", "cask head"),
        "head-piece": ("heading piece", "piece of head"),
        "middle-piece": ("middle", "centre", "centre piece", "middle head piece"),
        "quarter-piece": ("quarter head piece",),
        "cantle": ("cant", "chanteau", "cantle piece"),
        "dowel": ("pin", "head dowel"),
        "chime-hoop": ("head hoop", "end hoop"),
        "quarter-hoop": ("french hoop",),
        "bulge-hoop": ("bilge hoop", "belly hoop"),
        "bung-hole": ("bung bore",),
        "bush": ("bung bush", "bushing"),
        "spile": ("peg", "spile peg"),
        "flag": ("rush", "reed", "jonc", "dried rush"),
        "char-layer": ("char", "charred layer"),
        "red-layer": ("caramelised layer", "caramelized layer", "red line"),
    },
    {
        "quarter": _WHICH_QUARTER,
        "shive": Ask("the bung itself, or the flat bung a spile goes through?", ("bung", "spile")),
        "top": Ask("which head: A is the marked one, B the other?", ("head",)),
        "bottom": Ask("which head: A is the marked one, B the other?", ("head",)),
    },
    {"spile": "the peg driven into a leak or a sample hole; elsewhere also the vent peg in a bung"},
)

# These are the first words of an address on a cask; what stands after them is settled by the address grammar.
PLACE = Kind(
    "place on a cask",
    ("stave", "joint", "bung", "head", "croze", "chime", "hoop", "unseen"),
    {
        "stave": ("lag", "douelle"),
        "joint": ("seam",),
        "bung": ("bung hole", "bush"),
        "head": ("end", "fond"),
        "croze": ("groove", "jable"),
        "chime": ("chimb", "chine"),
        "unseen": ("unknown", "not seen", "cannot be seen"),
    },
    {
        "quarter": Ask("a quarter piece of a head, or a quarter hoop? Number it", ("head-A-2", "hoop-A-2")),
        "top": Ask("which head: A is the marked one, B the other?", ("head-A", "head-B")),
        "bottom": Ask("which head: A is the marked one, B the other?", ("head-A", "head-B")),
        "bulge": Ask("which staves? Or is it the bulge hoop?", ("stave", "hoop")),
        "shive": Ask("the bung hole, or its stave?", ("bung", "stave")),
    },
)

HOOP = Kind(
    "hoop",
    ("chime", "quarter", "bulge"),
    {
        "chime": ("chime hoop", "head hoop", "end hoop", "chimb", "chine"),
        "quarter": ("quarter hoop", "french hoop", "french"),
        "bulge": ("bulge hoop", "bilge hoop", "bilge", "belly hoop"),
    },
)

HEAD_PIECE = Kind(
    "piece of a head",
    ("middle", "quarter", "cantle"),
    {
        "middle": ("centre", "centre piece", "middle piece"),
        "quarter": ("quarter piece",),
        "cantle": ("cant", "chanteau", "cantle piece"),
    },
)

HEAD = Kind(
    "head (A is the marked one, B the other)",
    ("A", "B"),
    {
        "A": ("head A", "marked", "marked head", "marked end"),
        "B": ("head B", "other", "unmarked", "other end"),
    },
    {word: Ask("which head: A is the marked one, B the other?", ("A", "B")) for word in ("top", "bottom", "front", "back", "upper", "lower")},
)


@dataclass(frozen=True, slots=True)
class CaskType:
    """The usual figures of a cask type: litres, the range they are plausible in, staves, hoops, pieces of a head,
    thickness of finished staves and their floor in mm, weights in kg. None where no figure is in common use.
    `litres_needed`: the name alone does not tell the size, so the litres must be given."""

    name: str
    litres: float | None
    low: float | None
    high: float | None
    staves: tuple[int, int] | None = None
    hoops: tuple[int, int] | None = None
    head_pieces: tuple[int, int] | None = None
    finished_stave_mm: tuple[float, float] | None = None
    stave_floor_mm: float | None = None
    empty_kg: tuple[float, float] | None = None
    full_kg: float | None = None
    litres_needed: bool = False


# Litres, ranges, counts and weights: common practice, no source. Finished staves: from memory. The floors are no more
# than a starting setting of the house.
_SMALL = (17.0, 20.0)
_TYPES = (
    CaskType("octave", 50, 45, 68, finished_stave_mm=_SMALL),
    CaskType("bloodtub", 40, 30, 50, finished_stave_mm=_SMALL),
    CaskType("firkin", 41, 36, 45, finished_stave_mm=_SMALL),
    CaskType("kilderkin", 82, 75, 90, finished_stave_mm=_SMALL),
    CaskType("quarter-cask", 125, 45, 160, litres_needed=True),
    CaskType(
        "barrel",
        200,
        173,
        210,
        staves=(25, 35),
        hoops=(6, 6),
        head_pieces=(5, 6),
        finished_stave_mm=(19.0, 27.0),
        stave_floor_mm=18.0,
        empty_kg=(48.0, 54.0),
        full_kg=230.0,
    ),
    CaskType("barrique", 225, 220, 300, finished_stave_mm=(20.0, 27.0)),
    CaskType("hogshead", 250, 225, 305, hoops=(6, 8), finished_stave_mm=(19.0, 27.0), stave_floor_mm=18.0),
    CaskType("cognac-cask", 350, 270, 400),
    CaskType("puncheon", 500, 450, 700),
    CaskType("butt", 500, 450, 600, hoops=(8, 10), finished_stave_mm=(28.0, 35.0), full_kg=600.0),
    CaskType("port-pipe", 550, 350, 670),
    CaskType("madeira-drum", 650, 600, 650),
    CaskType("gorda", 700, 600, 700),
    CaskType("custom", None, None, None, litres_needed=True),
)
CASK_TYPES: dict[str, CaskType] = {each.name: each for each in _TYPES}

TYPE = Kind(
    "cask type",
    tuple(CASK_TYPES),
    {
        "quarter-cask": ("quarter", "qtr cask"),
        "barrel": ("american standard barrel", "asb", "bourbon barrel", "american barrel"),
        "barrique": ("wine barrique",),
        "hogshead": ("hoggie", "hoggy", "hhd", "remade hogshead"),
        "cognac-cask": ("cognac barrel", "cognac"),
        "butt": ("sherry butt",),
        "port-pipe": ("pipe of port",),
        "madeira-drum": ("drum of madeira",),
        "custom": ("special", "odd size", "bespoke"),
    },
    {
        "pipe": Ask(
            "a port pipe, a madeira drum, or another cask? Give its litres",
            ("port-pipe", "madeira-drum", "custom"),
        ),
        "drum": Ask("a madeira drum, or a metal drum, which is no cask?", ("madeira-drum",)),
        "cask": Ask("which type of cask?", ("barrel", "hogshead", "butt")),
    },
    {
        "quarter-cask": "anything from 45 to 160 litres is called so: the litres are wanted",
        "barrel": "about 200 litres (53 US gal) here; in loose use any cask, and as a measure 119 to 159 litres",
        "hogshead": "the cask here, about 250 litres; as a measure 63 US gal",
        "madeira-drum": "the wooden cask of 600 to 650 litres, no metal drum",
    },
)

WOOD = Kind(
    "wood",
    (
        "american-white-oak",
        "european-oak",
        "pedunculate-oak",
        "sessile-oak",
        "mizunara",
        "other",
        "mixed",
        "unknown",
    ),
    {
        "american-white-oak": ("american oak", "white oak", "quercus alba", "q. alba", "alba"),
        "european-oak": ("french oak", "european"),
        "pedunculate-oak": ("pedunculate", "quercus robur", "q. robur", "robur", "english oak", "common oak"),
        "sessile-oak": ("sessile", "quercus petraea", "q. petraea", "petraea", "durmast oak"),
        "mizunara": (
            "quercus mongolica",
            "q. mongolica",
            "mongolica",
            "japanese oak",
            "mongolian oak",
            "mizunara oak",
        ),
        "mixed": ("mixture", "several"),
        "unknown": ("not known", "n/k"),
    },
    {
        "oak": Ask("which oak? unknown, if nobody knows", ("american-white-oak", "european-oak", "unknown")),
        "spanish oak": Ask("robur, or European not told apart?", ("pedunculate-oak", "european-oak")),
    },
)

FILL = Kind(
    "fill word",
    ("virgin", "seasoned", "refill", "rejuvenated", "spent"),
    {
        "virgin": ("new wood", "virgin oak", "never filled", "new", "new oak", "virgin wood"),
        "seasoned": ("wine seasoned", "sherry seasoned"),
        "refill": ("refilled",),
        "rejuvenated": ("rejuvenate", "r1"),
        "spent": ("exhausted", "tired", "no wood left"),
    },
    {
        "first fill": Ask(
            "in this house, in its life, of the class, or since char?",
            ("fills", "fills_life", "fills_of_class", "fills_since_char"),
        ),
        "season": Ask("wine held on purpose, or staves dried in the air?", ("seasoned",)),
    },
)
