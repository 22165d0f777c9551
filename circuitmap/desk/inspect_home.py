"""The inspector's part for the home as a whole: where it is, who is called, how it is held, days on its papers."""

from typing import Final

from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, Save, TextField
from circuitmap.desk.parts import Label, add_row, form
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.verbs_home import WRITTEN_DAYS, set_written_day

_TENURES: Final = ("", "owner-occupied", "rented", "social rented", "holiday let")
_COUNTRIES: Final = ("", "England", "Wales", "Scotland", "Northern Ireland", "elsewhere")
_DAYS: Final = {
    "last inspection": ("Inspected", "Day of the last periodic inspection and test"),
    "next inspection": ("Next by", "Day that its report gives for the next one"),
    "occupied since": ("Lived in since", "Day since which its occupants live there"),
}
_SAYS: Final = "For papers and for what is due; a copy that is handed on can leave address and names out."


class HomeDetails(QWidget):
    """Address, who to call, tenure, country, and three days as they stand on papers."""

    def __init__(self, adapter: Adapter, parent: QWidget) -> None:
        super().__init__(parent)
        self._adapter = adapter
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(Label(_SAYS, self, role="faint"))
        rows = form()
        column.addLayout(rows)
        self.address = TextField("Address", self._saver("address", "Write the address"), self)
        self.call = TextField("Who to call", self._saver("call", "Write who to call"), self)
        self.tenure = ChoiceField(
            "How the home is held", [(each or "not said", each) for each in _TENURES],
            self._saver("tenure", "Say how the home is held"), self,
        )  # fmt: skip
        self.country = ChoiceField(
            "Country, whose rules apply", [(each or "not said", each) for each in _COUNTRIES],
            self._saver("country", "Say the country"), self,
        )  # fmt: skip
        for label, field in (
            ("Address", self.address), ("To call", self.call), ("Held as", self.tenure), ("Country", self.country)
        ):  # fmt: skip
            add_row(rows, label, field)
        self.days: dict[str, TextField] = {}
        for key in WRITTEN_DAYS:
            label, name = _DAYS[key]
            field = self.days[key] = TextField(name, self._day_saver(key), self)
            field.setPlaceholderText("2026-01-31")
            add_row(rows, label, field)

    def fill(self) -> None:
        """Show the home's details."""
        details = self._adapter.home.details
        self.address.show_value(details.address)
        self.call.show_value(details.call)
        tenures = dict.fromkeys((*_TENURES, details.tenure))
        self.tenure.offer([(each or "not said", each) for each in tenures])
        self.tenure.show_value(details.tenure)
        self.country.show_value(details.country)
        written = dict(details.choices)
        for key, field in self.days.items():
            field.show_value(written.get(key, ""))

    def _saver(self, field: str, title: str) -> Save:
        def change(home: Home, value: object) -> Change:
            return verbs.edit(home, "home", title, **{field: value.strip() if isinstance(value, str) else value})

        return lambda value: self._adapter.do(lambda home: change(home, value)) is not None

    def _day_saver(self, key: str) -> Save:
        def save(value: object) -> bool:
            try:
                change = set_written_day(self._adapter.home, key, str(value))
            except PersonError as error:
                self._adapter.refuse(str(error))
                return False
            return self._adapter.do(change) is not None

        return save
