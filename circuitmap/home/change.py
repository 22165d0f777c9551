"""A change: a title and pairs of records, before and after. Undo is its inverse."""

from collections.abc import Iterable

from msgspec import Struct

from circuitmap.home.records import Record

Pair = tuple[Record | None, Record | None]


class Change(Struct, frozen=True):
    """What one action does to a home; ``pairs`` hold (before, after), None where a record comes or goes."""

    title: str
    pairs: tuple[Pair, ...]

    def inverse(self) -> "Change":
        """Give the change that takes this one back."""
        return Change(self.title, tuple((after, before) for before, after in reversed(self.pairs)))

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the records that this change touches, in its order."""
        return tuple((after or before).id for before, after in self.pairs)  # type: ignore[union-attr]  # never both None

    def added(self, kind: type[Record] | None = None) -> tuple[str, ...]:
        """Give the ids of the records that this change brings in, of one kind if one is named."""
        return tuple(
            after.id
            for before, after in self.pairs
            if before is None and after is not None and (kind is None or isinstance(after, kind))
        )


def combine(title: str, changes: Iterable[Change]) -> Change:
    """Give one change that does what several do one after the other; what cancels out is left out."""
    first: dict[str, Record | None] = {}
    last: dict[str, Record | None] = {}
    for change in changes:
        for before, after in change.pairs:
            record_id = (after or before).id  # type: ignore[union-attr]  # never both None
            first.setdefault(record_id, before)
            last[record_id] = after
    return Change(title, tuple((first[i], last[i]) for i in first if first[i] != last[i]))
