"""Every action declared once, as data: menus, toolbars, command search and the shortcut sheet all read it here."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget


@dataclass(frozen=True, slots=True)
class Act:
    """One thing the person can do.

    ``scope`` is "window" for keys that work everywhere, or "canvas" for single keys that work only while the plan or
    the answer panel has the focus (so that they never fire while somebody types).
    """

    id: str
    text: str
    menu: str
    do: Callable[[], object]
    key: str = ""
    tip: str = ""
    enabled: Callable[[], bool] | None = None
    checked: Callable[[], bool] | None = None
    words: Callable[[], str] | None = None
    scope: str = "window"
    also: tuple[str, ...] = field(default=())  # other words that the command search finds it by


class Actions(QObject):
    """The registry of a window's actions."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._owner = parent
        self._acts: dict[str, Act] = {}
        self._actions: dict[str, QAction] = {}
        self._letters: dict[str, set[str]] = {}  # that open something with Alt, by menu

    def add(self, acts: Iterable[Act], key_owner: Iterable[QWidget] = ()) -> None:
        """Declare some actions; keys of scope "canvas" go to the widgets named."""
        owners = tuple(key_owner)
        for act in acts:
            action = QAction(self._with_own_letter(act), self)
            action.setObjectName(act.id)
            action.setToolTip(act.tip or act.text)
            action.setStatusTip(act.tip or act.text)
            if act.key:
                action.setShortcuts([QKeySequence(key) for key in act.key.split(" | ")])
            if act.checked is not None:
                action.setCheckable(True)
            action.triggered.connect(_Runner(act.do, self).run)
            self._acts[act.id] = act
            self._actions[act.id] = action
            if act.scope == "canvas":
                action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                for owner in owners:
                    owner.addAction(action)
            else:
                self._owner.addAction(action)
        self.refresh()

    def _with_own_letter(self, act: Act) -> str:
        """Give an act's text with a letter that no other of its menu has: its own, another of its words, or none."""
        text = act.text
        if "&" not in text:
            return text
        taken = self._letters.setdefault(act.menu, set())
        at = text.index("&")
        plain = text[:at] + text[at + 1 :]
        begins = [n for n, c in enumerate(plain) if c.isalpha() and (n == 0 or plain[n - 1] == " ")]
        inside = [n for n, c in enumerate(plain) if c.isalpha() and n not in begins]
        for n in (at, *begins, *inside):
            if plain[n].lower() not in taken:
                taken.add(plain[n].lower())
                return f"{plain[:n]}&{plain[n:]}"
        return plain

    def own(self, act_ids: Iterable[str], owner: QWidget) -> None:
        """Let the keys of some actions of scope "canvas" work on a widget that is made later."""
        for act_id in act_ids:
            owner.addAction(self._actions[act_id])

    def __getitem__(self, act_id: str) -> QAction:
        return self._actions[act_id]

    def all(self) -> list[tuple[Act, QAction]]:
        """Give every action with its declaration, in the order they were declared."""
        return [(act, self._actions[act.id]) for act in self._acts.values()]

    def in_menu(self, menu: str) -> list[QAction]:
        """Give the actions of one menu."""
        return [self._actions[act.id] for act in self._acts.values() if act.menu == menu]

    def refresh(self) -> None:
        """Ask every declaration again whether it is enabled, checked, and what it is called now."""
        for act in self._acts.values():
            action = self._actions[act.id]
            if act.enabled is not None:
                action.setEnabled(act.enabled())
            if act.checked is not None:
                action.setChecked(act.checked())
            if act.words is not None:
                action.setText(act.words())


class _Runner(QObject):
    """Holds what an action does, so that no lambda has to."""

    def __init__(self, do: Callable[[], object], parent: QObject) -> None:
        super().__init__(parent)
        self._do = do

    def run(self) -> None:
        """Do it."""
        self._do()
