"""The two families of error: the person's or the world's fault, and ours.

An error carries its data and builds its sentence in ``__str__``: what was wrong, where, what to do.
"""

from collections.abc import Iterable


class CircuitmapError(Exception):
    """Base of every error that this program raises on purpose."""


class PersonError(CircuitmapError):
    """Input, file, disk or circumstance: shown to the person as one clear sentence."""


class OurError(CircuitmapError):
    """A mistake in this program: written to a report file, never blamed on the person."""


class QuantityError(PersonError):
    """Typed text that is no quantity of the kind asked for."""

    def __init__(self, typed: str, wanted: str, why: str = "") -> None:
        super().__init__(typed, wanted, why)
        self.typed, self.wanted, self.why = typed, wanted, why

    def __str__(self) -> str:
        shown = self.typed if len(self.typed) <= 40 else self.typed[:39] + "…"
        return f"“{shown}” is not {self.wanted}" + (f": {self.why}." if self.why else ".")


class HomeError(PersonError):
    """A change that would leave the home wrong; nothing was changed."""

    def __init__(self, says: str, *subjects: str) -> None:
        super().__init__(says, *subjects)
        self.says, self.subjects = says, subjects

    def __str__(self) -> str:
        return self.says


class FileError(PersonError):
    """A home file, folder or picture that can't be read or written."""

    def __init__(self, path: object, says: str, todo: str = "") -> None:
        super().__init__(str(path), says, todo)
        self.path, self.says, self.todo = str(path), says, todo

    def __str__(self) -> str:
        return f"{self.path}: {self.says}" + (f" {self.todo}" if self.todo else "")


class TextFormError(FileError):
    """A text-form home with problems; every one is listed with its path inside the file."""

    def __init__(self, path: object, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        count = len(self.problems)
        super().__init__(path, f"{count} problem{'' if count == 1 else 's'} found, nothing was taken in.")

    def __str__(self) -> str:
        return "\n".join([super().__str__(), *(f"  {problem}" for problem in self.problems)])


class PictureError(FileError):
    """A picture that can't be used as a plan."""


class TradeError(PersonError):
    """A trade table (ours or the person's own) that can't be used."""
