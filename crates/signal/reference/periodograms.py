"""Generalised Lomb-Scargle periodograms from astropy, for tests/periodogram.rs."""

import numpy as np
from astropy.timeseries import LombScargle

from table import Table


def series(rng, n, span, lines, noise, even=False):
    t = np.linspace(0, span, n) if even else np.sort(rng.uniform(0, span, n))
    t = t + 1000.0
    dy = rng.uniform(0.5, 2.0, n)
    y = 4.0 + noise * dy * rng.normal(size=n)
    for f, a, p in lines:
        y = y + a * np.sin(2 * np.pi * f * t + p)
    return t, y, dy


def make(folder):
    out = Table(folder / "periodograms.txt", "periodograms.py", ["numpy", "astropy"])
    rng = np.random.default_rng(5)
    cases = [
        ("strong", *series(rng, 60, 90.0, [(0.21, 2.0, 0.4), (0.07, 1.0, 2.0)], 0.5), True),
        ("noise", *series(rng, 150, 37.0, [], 1.0), True),
        ("even", *series(rng, 80, 40.0, [(0.4, 0.7, 1.0)], 1.0, even=True), False),
        ("few", *series(rng, 5, 10.0, [(0.3, 1.0, 0.0)], 0.2), False),
    ]
    for name, t, y, dy, weighted in cases:
        ls = LombScargle(t, y, dy if weighted else None, fit_mean=True, center_data=True, normalization="standard")
        span = t.max() - t.min()
        # astropy rounds the highest frequency to its own grid and counts from zero; our breadth is
        # made the same.
        _, breadth = ls.autofrequency(maximum_frequency=40 / span, return_freq_limits=True)
        f = 0.2 / span + np.arange(199) * (breadth / 198)
        power = ls.power(f, method="slow" if name == "few" else "cython")
        out.put(f"{name}.t", t)
        out.put(f"{name}.y", y)
        if weighted:
            out.put(f"{name}.w", dy**-2.0)
        out.put(f"{name}.f", f)
        out.put(f"{name}.power", power)
        z = np.array([0.01, 0.1, 0.3, 0.5, 0.8, 0.99])
        out.put(f"{name}.z", z)
        out.note("false_alarm_probability(method='baluev') ")
        out.put(f"{name}.fap", ls.false_alarm_probability(z, method="baluev", maximum_frequency=40 / span))
        if name != "few":
            p = np.array([0.1, 0.01, 1e-6])
            out.put(f"{name}.probability", p)
            out.put(f"{name}.level", ls.false_alarm_level(p, method="baluev", maximum_frequency=40 / span))
    name, t, y, dy, _ = cases[0]
    ls = LombScargle(t, y, dy, fit_mean=True, center_data=True)
    f = 0.2103
    offset, (s, c) = ls.offset(), ls.model_parameters(f)[1:]
    out.note("amplitude at 0.2103 Hz: model_parameters")
    out.put("strong.amplitude", np.hypot(s, c))
    fine = np.linspace(0.2, 0.22, 200001)
    power = ls.power(fine, method="cython")
    out.put("strong.highest", [fine[power.argmax()], power.max()])
    out.close()
