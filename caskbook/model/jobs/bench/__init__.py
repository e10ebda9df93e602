"""Looking at an empty cask: examine, nose, treat, soak, test and measure."""

from typing import TYPE_CHECKING

from caskbook.core.lazy import lazy_names

if TYPE_CHECKING:
    from caskbook.model.jobs.bench.looking import Examine as Examine
    from caskbook.model.jobs.bench.looking import Nose as Nose
    from caskbook.model.jobs.bench.measuring import Dims as Dims
    from caskbook.model.jobs.bench.measuring import Measure as Measure
    from caskbook.model.jobs.bench.tightness import LeakFound as LeakFound
    from caskbook.model.jobs.bench.tightness import Test as Test
    from caskbook.model.jobs.bench.treating import Soak as Soak
    from caskbook.model.jobs.bench.treating import Treat as Treat

__getattr__ = lazy_names(__name__, {
    "looking": ("Examine", "Nose"),
    "treating": ("Treat", "Soak"),
    "tightness": ("LeakFound", "Test"),
    "measuring": ("Dims", "Measure"),
})  # fmt: skip
