"""Derived values kept by the identity of what they were derived from.

A memo is a value: a Document owns one and passes it in, an option or a worker gets a fork. No module keeps state.
"""

from collections.abc import Callable
from operator import is_not
from typing import TypeVar, cast

Value = TypeVar("Value")


class Memo:
    """One slot per (stage, name): the parts last seen and the value they gave.

    The parts are held alive by their slot, so comparing them with ``is`` is safe; a slot per subject means that
    nothing needs evicting. A value is recomputed when any part is another object than last time.
    """

    def __init__(self, below: "Memo | None" = None) -> None:
        self._slots: dict[tuple[str, object], tuple[tuple[object, ...], object]] = {}
        self._below = below
        self.hits = 0
        self.misses = 0

    def get(self, stage: str, name: object, parts: tuple[object, ...], make: Callable[[], Value]) -> Value:
        """Give the value of a stage for a subject, making it again only when a part has changed."""
        key = (stage, name)
        slot = self._find(key)
        if slot is not None:
            seen, value = slot
            if len(seen) == len(parts) and not any(map(is_not, seen, parts)):
                self.hits += 1
                return cast(Value, value)  # a slot holds what its own stage made
        self.misses += 1
        made = make()
        self._slots[key] = (parts, made)
        return made

    def steady(self, stage: str, name: object, value: Value) -> Value:
        """Give back the earlier object when the new value equals it, so that identity carries on upwards."""
        key = (stage, name)
        slot = self._find(key)
        if slot is not None and slot[1] == value:
            return slot[1]
        self._slots[key] = ((), value)
        return value

    def fork(self) -> "Memo":
        """Give a memo that reads through to this one and writes beside it (for trying options, for workers)."""
        return Memo(self)

    def _find(self, key: tuple[str, object]) -> tuple[tuple[object, ...], object] | None:
        memo: Memo | None = self
        while memo is not None:
            slot = memo._slots.get(key)
            if slot is not None:
                return slot
            memo = memo._below
        return None
