"""What hangs on a point: a short list, each with its watts and what happens when it goes off."""

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.fields import Save
from circuitmap.desk.parts import button, elided, plain_tip
from circuitmap.errors import PersonError
from circuitmap.home.records import Load
from circuitmap.quantities import parse_power_w
from circuitmap.words import IF_OFF, IfOff

_IF_OFF_WORDS: dict[IfOff, str] = {
    "nothing": "nothing happens",
    "resets": "it resets",
    "spoils": "food spoils",
    "lost work": "work is lost",
    "heating": "no heating",
    "security": "no alarm",
    "phone": "no phone",
    "medical": "medical: ask first",
}


class LoadsEditor(QWidget):
    """The list, and one line to add to it: "router", "2.9 kW oven"."""

    def __init__(self, save: Save, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save = save
        self._loads: tuple[Load, ...] = ()
        self._rows = QVBoxLayout()
        self._rows.setSpacing(4)
        self._what = QLineEdit(self)
        self._what.setPlaceholderText("router, or oven 2.9 kW")
        self._what.setAccessibleName("Something that hangs on this point")
        self._what.setMaxLength(200)
        self._what.returnPressed.connect(self._on_add)
        self._if_off = QComboBox(self)
        self._if_off.setAccessibleName("What happens when it goes off")
        for word in IF_OFF:
            self._if_off.addItem(_IF_OFF_WORDS[word], word)
        line = QHBoxLayout()
        line.addWidget(self._what, 3)
        line.addWidget(self._if_off, 2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addLayout(self._rows)
        layout.addLayout(line)

    def show_value(self, loads: tuple[Load, ...]) -> None:
        """Show what the record holds."""
        if loads == self._loads:
            return
        self._loads = loads
        while self._rows.count():
            item = self._rows.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.deleteLater()
        for n, load in enumerate(loads):
            power = f" {load.power_w / 1000:g} kW" if load.power_w else ""
            words = f"{load.name or load.what}{power}: {_IF_OFF_WORDS[load.if_off]}"
            row = button(elided(words, self.fontMetrics(), 260).replace("&", "&&") + "  ✕", self)
            row.setToolTip(plain_tip(f"Remove {words[:200]}"))
            row.setAccessibleName(f"Remove {words[:200]}")
            row.setProperty("number", n)
            row.clicked.connect(self._on_remove)
            self._rows.addWidget(row)

    def _on_add(self) -> None:
        text = self._what.text().strip()
        if not text:
            return
        what, power = text, None
        words = text.rsplit(" ", 2)
        for count in (1, 2):
            if len(words) > count:
                tail = " ".join(words[-count:])
                try:
                    power = parse_power_w(tail)
                except PersonError:
                    continue
                what = text[: -len(tail)].strip()
                break
        load = Load(what=what, power_w=power, if_off=self._if_off.currentData())
        if self._save((*self._loads, load)):
            self._what.clear()
            with QSignalBlocker(self._if_off):
                self._if_off.setCurrentIndex(0)

    def _on_remove(self) -> None:
        number = int(self.sender().property("number"))
        self._save(tuple(load for n, load in enumerate(self._loads) if n != number))
