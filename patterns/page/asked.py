"""What a request says: JSON of the right kinds, or every fault in it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from ..errors import BadInputError, Fault
from ..reading import given

MOST_TEXTS = 400
LONGEST_TEXT = 8_000
LONGEST_NAME = 200


class Asked:
    """A request's body. What is asked for and is of another kind is a fault, told at the end."""

    def __init__(self, said: Mapping[str, Any]) -> None:
        self._said = said
        self.faults: list[Fault] = []

    @classmethod
    def of(cls, body: bytes) -> Asked:
        """Read a body; raises :class:`BadInputError` if it is no JSON object.

        >>> Asked.of(b'{"units": "mm"}').units()
        'mm'
        >>> Asked.of(b"[1]")
        Traceback (most recent call last):
        ...
        patterns.errors.BadInputError: request: given [1]; allowed: a JSON object; say it so
        """
        try:
            said = json.loads(body, parse_constant=_no_number)
        except (ValueError, RecursionError):  # UnicodeDecodeError is one of them
            raise _fault("request", "no JSON", "a JSON object") from None
        if not isinstance(said, dict):
            raise _fault("request", given(said), "a JSON object")
        return cls(said)

    def _wrong(self, key: str, allowed: str) -> None:
        self.faults.append(Fault(key, given(self._said.get(key)), allowed, "say it so"))

    def done(self) -> None:
        """Raise :class:`BadInputError` if anything was of another kind."""
        if self.faults:
            raise BadInputError(self.faults)

    def units(self) -> str:
        found = self._said.get("units", "in")
        if found in ("in", "mm"):
            return str(found)
        self._wrong("units", "in or mm")
        return "in"

    def text(self, key: str, default: str | None = None, most: int = LONGEST_NAME) -> str:
        """A text; ``default`` where there is none or it is null."""
        found = self._said.get(key)
        if found is None and default is not None:
            return default
        if isinstance(found, str) and len(found) <= most:
            return found
        self._wrong(key, f"text of up to {most:,} letters")
        return ""

    def maybe(self, key: str, most: int = LONGEST_NAME) -> str | None:
        """A text, or None."""
        return None if self._said.get(key) is None else self.text(key, most=most)

    def flag(self, key: str) -> bool:
        """Yes or no; no where nothing is said."""
        found = self._said.get(key, False)
        if isinstance(found, bool):
            return found
        self._wrong(key, "true or false")
        return False

    def texts(self, key: str = "texts") -> dict[str, str]:
        """The texts of a table."""
        return self._texts(key, self._said.get(key))

    def tables(self, key: str, most: int) -> list[dict[str, str]]:
        """A list of such texts."""
        found = self._said.get(key)
        if not isinstance(found, list) or len(found) > most:
            self._wrong(key, f"a list of up to {most} tables")
            return []
        return [self._texts(f"{key}, {i}", each) for i, each in enumerate(found, 1)]

    def _texts(self, shown: str, found: Any) -> dict[str, str]:
        sound = isinstance(found, dict) and len(found) <= MOST_TEXTS and all(
            isinstance(text, str) and len(text) <= LONGEST_TEXT and len(key) <= LONGEST_NAME
            for key, text in found.items()
        )  # fmt: skip
        if sound:
            assert isinstance(found, dict)
            return found
        self.faults.append(Fault(shown, given(found), "keys with their texts", "say it so"))
        return {}

    def table(self, key: str) -> dict[str, Any]:
        """A JSON object of any kind; empty where there is none."""
        found = self._said.get(key)
        if found is None:
            return {}
        if isinstance(found, dict) and len(found) <= MOST_TEXTS:
            return found
        self._wrong(key, "an object")
        return {}

    def grip(self) -> tuple[str, float, float] | None:
        """The point that is dragged, and where to; None if there is none."""
        found = self._said.get("grip")
        if found is None:
            return None
        if isinstance(found, dict):
            name, x, y = (found.get(key) for key in ("name", "x", "y"))
            if isinstance(name, str) and len(name) <= LONGEST_NAME and _number(x) and _number(y):
                assert x is not None
                assert y is not None
                return name, float(x), float(y)
        self._wrong("grip", "the name of a point, with x and y in mm")
        return None


def _number(value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    try:
        return math.isfinite(float(value))
    except OverflowError:
        return False


def _no_number(text: str) -> Any:
    raise ValueError(text)


def _fault(field: str, said: str, allowed: str) -> BadInputError:
    return BadInputError([Fault(field, said, allowed, "say it so")])
