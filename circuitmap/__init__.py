"""circuitmap: find out how a home is really wired.

The package is a stack of floors (see DEVELOPERS.md); nothing lives in this file but the version and one setting that
must stand before numpy is loaded.
"""

import os

__version__ = "0.1.0"

# The matrices of a home are small. Spread over threads, products of them take twenty times as long on a busy machine.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
