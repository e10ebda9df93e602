"""By which job what is found wrong is mended as a rule, and which finds ask for new wood or a new hoop: common practice, no source."""

from __future__ import annotations

from typing import Literal

Part = Literal["stave", "head piece", "hoop"]
PARTS: tuple[Part, ...] = ("stave", "head piece", "hoop")

# The empty word: the place says which part it is.
_MENDED_BY = {
    "leak": "drive", "joint-leak": "drive", "head-leak": "drive", "croze-leak": "drive", "stave-end-leak": "drive", "loose-hoop": "drive",
    "pinhole": "peg", "peg": "peg", "porous-stave": "stave", "bung-stave-crack": "stave", "chipped-chime": "stave", "green-wood": "",
    "cracked": "", "broken": "", "thin": "", "soaked-through": "", "woodworm": "", "missing-hoop": "hoop", "burst-hoop": "hoop",
    "sprung-head": "head", "worn-bung-hole": "bung", "dried-out": "soak", "blister": "shave", "iron-stain": "shave", "residue": "treat",
}  # fmt: skip
_NEW_PART = frozenset({
    "porous-stave", "bung-stave-crack", "green-wood", "cracked", "broken", "thin", "soaked-through", "woodworm", "missing-hoop", "burst-hoop",
})  # fmt: skip
_OF_PART: dict[Part, str] = {"stave": "stave", "head piece": "head", "hoop": "hoop"}


def mended_by(defect: str, place: str) -> str:
    """The job that mends a defect (a word of the book) at a place as it is written there; a smell is treated."""
    return _MENDED_BY.get(defect, "treat") or _OF_PART[part_at(place)]


def part_at(place: str) -> Part:
    """The part of a cask that a place as written is of: a joint, the bung, a croze or chime is of the staves, where it is not of a head."""
    if place.startswith("hoop"):
        return "hoop"
    return "head piece" if place.startswith("head") else "stave"


def part_wanted(defect: str, place: str) -> Part | None:
    """The part that has to be new where a defect is at a place; None where it is mended without. A leak, a weeping joint among them, wants none."""
    if defect not in _NEW_PART:
        return None
    return "hoop" if defect.endswith("-hoop") else "stave" if "stave" in defect else part_at(place)
