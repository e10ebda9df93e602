"""Closed lists of figures or truth values, each of its own kind: `true` is no 1 and 1.0 no whole number, though Python calls them equal."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator


def _of_its_kind(kind: type, wanted: str) -> BeforeValidator:
    def check(value: Any) -> Any:
        if value is not None and type(value) is not kind and isinstance(value, int | float):
            raise ValueError(f"expected {wanted}")
        return value

    return BeforeValidator(check)


Grade = Annotated[Literal[1, 2, 3], _of_its_kind(int, "1, 2 or 3")]
Yes = Annotated[Literal[True], _of_its_kind(bool, "true, or no such line")]
Format = Annotated[Literal[1], _of_its_kind(int, "1")]
