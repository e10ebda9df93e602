"""What happens with liquor in the cask: season, fill, rack, draw, top, gauge, sample, leaks and looks, empty, grade."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.model.jobs.spirit.drawing import Draw as Draw
    from caskbook.model.jobs.spirit.drawing import Top as Top
    from caskbook.model.jobs.spirit.filling import EMPTIED_WHY as EMPTIED_WHY
    from caskbook.model.jobs.spirit.filling import Empty as Empty
    from caskbook.model.jobs.spirit.filling import Fill as Fill
    from caskbook.model.jobs.spirit.gauged import Gauged as Gauged
    from caskbook.model.jobs.spirit.gauged import OakSince as OakSince
    from caskbook.model.jobs.spirit.gauged import Stow as Stow
    from caskbook.model.jobs.spirit.gauging import Regauge as Regauge
    from caskbook.model.jobs.spirit.gauging import Sample as Sample
    from caskbook.model.jobs.spirit.leaking import Leak as Leak
    from caskbook.model.jobs.spirit.leaking import Look as Look
    from caskbook.model.jobs.spirit.racking import RackedTo as RackedTo
    from caskbook.model.jobs.spirit.racking import RackIn as RackIn
    from caskbook.model.jobs.spirit.racking import RackOut as RackOut
    from caskbook.model.jobs.spirit.seasoning import Grade as Grade
    from caskbook.model.jobs.spirit.seasoning import Season as Season

__getattr__ = lazy_names(__name__, {
    "gauged": ("Stow", "OakSince", "Gauged"),
    "filling": ("EMPTIED_WHY", "Fill", "Empty"),
    "gauging": ("Regauge", "Sample"),
    "racking": ("RackedTo", "RackOut", "RackIn"),
    "drawing": ("Draw", "Top"),
    "leaking": ("Leak", "Look"),
    "seasoning": ("Season", "Grade"),
})  # fmt: skip
