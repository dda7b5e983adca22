"""Butterworth and windowed-sinc designs from scipy.signal, for tests/filter.rs."""

import numpy as np
from scipy import signal

from table import Table

FREQUENCY_FRACTIONS = np.array([0.001, 0.01, 0.03, 0.1, 0.2, 0.31, 0.45, 0.6, 0.77, 0.9])
# order, kind (0 low, 1 high, 2 band), edges in Hz, sample rate in Hz
BUTTERWORTH = [
    (1, 0, (1000.0, 0.0), 48000.0),
    (2, 0, (30.0, 0.0), 48000.0),
    (4, 0, (5000.0, 0.0), 44100.0),
    (8, 0, (200.0, 0.0), 8000.0),
    (3, 1, (300.0, 0.0), 8000.0),
    (2, 1, (20.0, 0.0), 192000.0),
    (6, 1, (4000.0, 0.0), 48000.0),
    (8, 1, (15000.0, 0.0), 48000.0),
    (1, 2, (900.0, 1100.0), 8000.0),
    (2, 2, (2000.0, 4000.0), 48000.0),
    (3, 2, (3000.0, 20000.0), 48000.0),
    (4, 2, (500.0, 700.0), 44100.0),
    (2, 2, (60.0, 90.0), 192000.0),
    (8, 2, (6000.0, 12000.0), 96000.0),
]
KINDS = ["lowpass", "highpass", "bandpass"]
# taps, kind, edges in Hz, Kaiser beta, sample rate in Hz
FIR = [
    (31, 0, (4000.0, 0.0), 0.0, 48000.0),
    (101, 0, (300.0, 0.0), 6.0, 8000.0),
    (63, 1, (2000.0, 0.0), 5.0, 48000.0),
    (255, 2, (1500.0, 6000.0), 8.6, 44100.0),
]
# attenuation in dB, width in Hz, sample rate in Hz
KAISER = [(15.0, 900.0, 8000.0), (40.0, 500.0, 48000.0), (60.0, 1000.0, 44100.0), (96.0, 200.0, 48000.0)]


def edges_of(kind, edges):
    return list(edges) if kind == 2 else edges[0]


def noise(n):
    """A fixed stream in single precision; the table holds the numbers themselves."""
    return np.random.default_rng(20260101).normal(0, 0.2, n).astype(np.float32).astype(float)


def make(folder):
    out = Table(folder / "filters.txt", "filters.py", ["numpy", "scipy"])
    stream = noise(150)
    out.put("stream", stream)
    out.put("fractions", FREQUENCY_FRACTIONS)
    out.put("butterworth.count", len(BUTTERWORTH))
    for i, (order, kind, edges, rate) in enumerate(BUTTERWORTH):
        sos = signal.butter(order, edges_of(kind, edges), KINDS[kind], output="sos", fs=rate)
        _, response = signal.freqz_sos(sos, FREQUENCY_FRACTIONS * rate / 2, fs=rate)
        out.put(f"butterworth.{i}.design", [order, kind, *edges, rate])
        out.put(f"butterworth.{i}.re", response.real)
        out.put(f"butterworth.{i}.im", response.imag)
        out.put(f"butterworth.{i}.stream", signal.sosfilt(sos, stream))
        impulse = np.zeros(60)
        impulse[0] = 1
        out.put(f"butterworth.{i}.impulse", signal.sosfilt(sos, impulse))
    b, a = signal.butter(3, 0.2)
    w, delay = signal.group_delay((b, a), FREQUENCY_FRACTIONS * 24000, fs=48000)
    out.put("group_delay.samples", delay)
    out.put("fir.count", len(FIR))
    for i, (taps, kind, edges, beta, rate) in enumerate(FIR):
        h = signal.firwin(taps, edges_of(kind, edges), window=("kaiser", beta), pass_zero=KINDS[kind], fs=rate)
        out.put(f"fir.{i}.design", [taps, kind, *edges, beta, rate])
        out.put(f"fir.{i}.taps", h)
        out.put(f"fir.{i}.stream", signal.lfilter(h, 1, stream))
    out.put("kaiser.count", len(KAISER))
    for i, (attenuation, width, rate) in enumerate(KAISER):
        taps, beta = signal.kaiserord(attenuation, width / (rate / 2))
        out.put(f"kaiser.{i}", [attenuation, width, rate, taps, beta])
    out.close()
