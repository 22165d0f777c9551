"""What the window remembers between runs: its size, the theme chosen, the homes opened last. Never facts of a home."""

import json
from pathlib import Path

import msgspec
from msgspec import Struct

from circuitmap.drawing.palette import Theme
from circuitmap.places import user_state
from circuitmap.survey.method import MethodKind

_KEPT = 8


class Prefs(Struct, kw_only=True, omit_defaults=True):
    """Everything remembered; a file that can't be read is as good as none."""

    theme: Theme | None = None
    width_px: int = 1280
    height_px: int = 800
    recent: tuple[str, ...] = ()
    method: MethodKind = "fewest rounds"
    shelf: str = ""
    papers_folder: str = ""
    printer: str = ""

    def opened(self, path: Path) -> None:
        """Remember a home as the one opened last."""
        name = str(path.resolve())
        self.recent = (name, *(other for other in self.recent if other != name))[:_KEPT]


def load(folder: Path | None = None) -> Prefs:
    """Read what was remembered."""
    path = (folder or user_state()) / "window.json"
    try:
        return msgspec.json.decode(path.read_bytes(), type=Prefs)
    except (OSError, msgspec.DecodeError):
        return Prefs()


def save(prefs: Prefs, folder: Path | None = None) -> bool:
    """Write what is to be remembered; give whether it could be written (nothing is lost when it can't)."""
    where = folder or user_state()
    try:
        where.mkdir(parents=True, exist_ok=True)
        text = json.dumps(msgspec.to_builtins(prefs), indent=1, ensure_ascii=False)
        (where / "window.json").write_text(text, encoding="utf-8")
    except OSError:
        return False
    return True
