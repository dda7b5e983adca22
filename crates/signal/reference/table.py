"""Plain tables of numbers: one `name: number number ...` a line, shortest form that reads back
to the same double, a head that says what made them."""

import platform
from importlib.metadata import version

import numpy as np


class Table:
    def __init__(self, path, script, libraries):
        self.file = open(path, "w", encoding="ascii", newline="\n")
        made = ", ".join(f"{name} {version(name)}" for name in libraries)
        self.file.write(f"# Made by reference/{script} with Python {platform.python_version()}, {made}.\n")

    def put(self, name, numbers):
        flat = np.asarray(numbers, dtype=float).ravel()
        self.file.write(f"{name}: {' '.join(repr(float(v)) for v in flat)}\n")

    def note(self, text):
        self.file.write(f"# {text}\n")

    def close(self):
        self.file.close()
