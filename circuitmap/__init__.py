"""circuitmap: find out how a home is really wired.

The package is a stack of floors (see DEVELOPERS.md); nothing lives in this file but the version.
"""

__version__ = "0.1.0"
