"""Which ways are said to feed a point: one line each, and one to say so of another."""

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.parts import Label, button, elided, plain_tip
from circuitmap.home import verbs
from circuitmap.home.records import Tag
from circuitmap.words import EVIDENCE, Evidence

_CHOOSE = "This way feeds it…"
_SEVERAL = "More than one way is said to feed it: isolate all of them. Take back what is wrong."
_HOW: dict[Evidence, str] = {
    "seen": "known by: seen",
    "tested": "known by: tested",
    "inferred": "known by: inferred",
    "assumed": "known by: assumed",
}


class TagsEditor(QWidget):
    """The ways said to feed one point. Saying another never takes one back; each has a button for that."""

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._point = ""
        self._tags: tuple[Tag, ...] = ()
        self._codes: tuple[str, ...] = ()
        self._evidence: Evidence = "seen"
        self._rows = QVBoxLayout()
        self._rows.setSpacing(4)
        self._several = Label(_SEVERAL, self)
        self.way = ChoiceField("This way feeds it", [(_CHOOSE, "")], self._save_way, self)
        self.evidence = ChoiceField(
            "How it is known what feeds it",
            [(_HOW[word], word) for word in reversed(EVIDENCE)],
            self._save_evidence,
            self,
        )
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addLayout(self._rows)
        layout.addWidget(self._several)
        layout.addWidget(self.way)
        layout.addWidget(self.evidence)

    def show_point(self, point: str, ways: Sequence[tuple[str, str]]) -> None:
        """Show what is said of a point, and the ways (words, device id) that can be said to feed it."""
        self.way.offer([(_CHOOSE, ""), *ways])
        self.way.show_value("")
        home = self._adapter.home
        tags = verbs.tags_of(home, point)
        codes = tuple(home.code(tag.device) for tag in tags)
        if (point, tags, codes) != (self._point, self._tags, self._codes):
            self._point, self._tags, self._codes = point, tags, codes
            self._fill()
        self._several.setVisible(len(tags) > 1)
        self.evidence.show_value(tags[0].evidence if len(tags) == 1 else self._evidence)

    def _fill(self) -> None:
        while self._rows.count():
            item = self._rows.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for tag, code in zip(self._tags, self._codes, strict=True):
            words = f"{code} feeds it, {tag.evidence}"
            row = button(elided(words, self.fontMetrics(), 260).replace("&", "&&") + "  ✕", self)
            row.setToolTip(plain_tip(f"Take back: {words}"))
            row.setAccessibleName(f"Take back: {words}")
            row.setProperty("device", tag.device)
            row.clicked.connect(self._on_take_back)
            self._rows.addWidget(row)

    def _save_way(self, value: object) -> bool:
        device, point, evidence = str(value), self._point, self._evidence
        if not device:
            return True
        return self._adapter.do(lambda home: verbs.tag(home, point, device, evidence)) is not None

    def _save_evidence(self, value: object) -> bool:
        self._evidence = value  # type: ignore[assignment]  # the field offers nothing else
        if len(self._tags) != 1:
            return True
        point, device, evidence = self._point, self._tags[0].device, self._evidence
        return self._adapter.do(lambda home: verbs.tag(home, point, device, evidence)) is not None

    def _on_take_back(self) -> None:
        device, point = str(self.sender().property("device")), self._point
        self._adapter.do(lambda home: verbs.untag(home, point, device))
