"""The filters that commands over many casks share: one declaration of their options, which stand in each command where it names them."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from caskbook.cli.options import Berths, Parcels, Spirits, Stores, Suppliers, Types

_DECLARED = {
    "type": ("types", Types), "berth": ("berth", Berths), "store": ("store", Stores), "spirit": ("spirit", Spirits), "parcel": ("parcel", Parcels),
    "supplier": ("supplier", Suppliers),
}  # fmt: skip
"""Column of the table `cask` → (the name of the parameter, its option)."""
CASKS = ("type", "berth", "store", "parcel", "supplier")
"""What a cask is and where it lies; `spirit`, what it holds, is of no use where empty ones are wanted."""
WORK = (*CASKS, "spirit")
_PLACE = "filters"
Filters = Mapping[str, Any]
NO_FILTERS: Filters = MappingProxyType({})


def filtered(*names: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Gives a command an option for each of these filters in place of its parameter `filters`, which gets column → words, in this order."""

    def made(command: Callable[..., None]) -> Callable[..., None]:
        """The same command as typer is to see it."""
        own = inspect.signature(command, eval_str=True)
        parameters = [one for parameter in own.parameters.values() for one in (_options(names) if parameter.name == _PLACE else [parameter])]

        @functools.wraps(command)
        def run(**given: Any) -> None:
            filters = {name: given.pop(_DECLARED[name][0]) for name in names}
            command(**given, filters=filters)

        run.__signature__ = own.replace(parameters=parameters)  # type: ignore[attr-defined]
        run.__annotations__ = {one.name: one.annotation for one in parameters}
        return run

    return made


def _options(names: tuple[str, ...]) -> list[inspect.Parameter]:
    return [inspect.Parameter(_DECLARED[name][0], inspect.Parameter.POSITIONAL_OR_KEYWORD, default=None, annotation=_DECLARED[name][1]) for name in names]
