"""Fire work on an open cask, and what goes with it: shave, toast, char, sulphur."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.model.jobs.fire.charring import Char as Char
    from caskbook.model.jobs.fire.charring import CharLevel as CharLevel
    from caskbook.model.jobs.fire.charring import Shave as Shave
    from caskbook.model.jobs.fire.charring import Toast as Toast
    from caskbook.model.jobs.fire.sulphuring import Sulphur as Sulphur

__getattr__ = lazy_names(__name__, {
    "charring": ("CharLevel", "Shave", "Toast", "Char"),
    "sulphuring": ("Sulphur",),
})  # fmt: skip
