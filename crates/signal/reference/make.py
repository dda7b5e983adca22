#!/usr/bin/env python3
"""Makes the tables of expected values beside this script; run it only to add or renew values.

    python3 -m pip install -r requirements.txt
    python3 make.py

Each table names the libraries and versions that made it.
"""

from pathlib import Path

import filters
import lines
import periodograms
import robust
import special

FOLDER = Path(__file__).resolve().parent

for room in (special, filters, lines, robust, periodograms):
    room.make(FOLDER)
