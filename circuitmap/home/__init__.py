"""The home: its records, changes and verbs, its file and text form, and the Document that holds one open.

No geometry, no rules, no trade tables live here; what can be computed from the records is computed on other floors.
"""

from circuitmap.home.change import Change, combine
from circuitmap.home.snapshot import Home

__all__ = ["Change", "Home", "combine"]
