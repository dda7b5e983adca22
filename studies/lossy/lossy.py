#!/usr/bin/env python3
"""What lossy coding does to readings: the table of docs/accuracy.md, section "Lossy coding".

Simulates recordings of one balance and of two with `endshake simulate`, codes each with ffmpeg at
several bit rates, measures all of them without being told anything and compares with the truth that
was laid down. Prints a Markdown table.

    lossy.py ENDSHAKE FIRST_SEED RECORDINGS

ENDSHAKE is the binary, built with the feature `opus`; RECORDINGS is how many of each kind. Needs
ffmpeg with libmp3lame, libopus and libvorbis.
"""

import collections
import json
import pathlib
import random
import statistics
import subprocess
import sys
import tempfile

# Name in the table, ffmpeg's encoder, ending, bit rates in kbit/s.
CODERS = [
    ("AAC", "aac", "m4a", (64, 128, 256)),
    ("MP3", "libmp3lame", "mp3", (64, 128, 256)),
    ("Opus", "libopus", "ogg", (64, 128, 256)),
    ("Vorbis", "libvorbis", "ogg", (64, 128, 192)),
]
BALANCES = {"one": 1, "two": 2}
# An amplitude farther off than this is no use to anybody, degrees.
USELESS_DEG = 10.0


def described(draw, bph, more=""):
    """A balance as `endshake simulate --balance` takes it."""
    voice = draw.choice(["bright", "ringing", "rasping", "dull"])
    return (
        f"bph={bph},rate={draw.uniform(-20, 20):.2f},amplitude={draw.uniform(220, 300):.1f},"
        f"beat-error={draw.uniform(0, 1):.2f},voice={voice}{more}"
    )


def simulate(endshake, kind, seed, wav):
    """Makes a recording; gives its truth."""
    draw = random.Random(f"{kind}{seed}")
    bph = draw.choice([18000, 21600, 28800])
    balances = ["--balance", described(draw, bph)]
    if kind == "two":
        # Each beat of the second falls well between two of the first at the start.
        offset_s = draw.uniform(0.2, 0.8) * 3600 / bph
        more = f",loudness={draw.uniform(0.25, 0.5):.2f},offset={offset_s:.4f}"
        balances += ["--balance", described(draw, bph, more)]
    truth = wav.with_suffix(".json")
    command = [endshake, "simulate", "-o", wav, "--truth", truth, "--duration", "30"]
    subprocess.run([*command, "--seed", str(seed), *balances], check=True)
    return json.loads(truth.read_text())


def measure(endshake, path):
    # 4 is the status where no watch is heard.
    run = subprocess.run([endshake, "measure", path, "--format", "json"], capture_output=True)
    if run.returncode not in (0, 4):
        sys.exit(f"{path}: {run.stderr.decode()}")
    return json.loads(run.stdout)


def coded(wav, encoder, ending, kbit_s):
    path = wav.with_name(f"coded.{ending}")
    quiet = ["ffmpeg", "-y", "-v", "error", "-i", wav]
    subprocess.run([*quiet, "-c:a", encoder, "-b:a", f"{kbit_s}k", path], check=True)
    return path


class Row:
    """Everything about one coder at one bit rate."""

    def __init__(self):
        self.right = {"one": 0, "two": 0}
        self.too_many = 0
        self.rate_off = []
        self.rate_beyond_2_sd = 0
        self.amplitude_off = []
        self.no_amplitude = 0
        self.wrong_and_sure = 0

    def add(self, kind, reading, truth):
        balances = reading["balances"]
        self.right[kind] += len(balances) == BALANCES[kind]
        self.too_many += len(balances) > BALANCES[kind]
        if len(balances) != BALANCES[kind]:
            return
        for found in balances:
            if found["rate_s_per_d"] is None:
                continue
            off = lambda laid: found["rate_s_per_d"] - laid["rate_s_per_d"]
            laid_down = min(truth["balances"], key=lambda laid: abs(off(laid)))
            self.rate_off.append(off(laid_down))
            self.rate_beyond_2_sd += abs(off(laid_down)) > 2 * found["rate_sd_s_per_d"]
            if found["amplitude_deg"] is None:
                self.no_amplitude += 1
                continue
            error = found["amplitude_deg"] - laid_down["amplitude_deg"]
            self.amplitude_off.append(error)
            self.wrong_and_sure += abs(error) > max(USELESS_DEG, 3 * found["amplitude_sd_deg"])

    def cells(self):
        middle = lambda errors, digits: f"{statistics.median(map(abs, errors)):.{digits}f}"
        useless = sum(abs(error) > USELESS_DEG for error in self.amplitude_off)
        beyond = 100 * self.rate_beyond_2_sd / max(len(self.rate_off), 1)
        return [
            self.right["one"],
            self.right["two"],
            self.too_many,
            middle(self.rate_off, 3) if self.rate_off else "–",
            f"{statistics.mean(self.rate_off):+.3f}" if self.rate_off else "–",
            f"{beyond:.0f} %",
            middle(self.amplitude_off, 1) if self.amplitude_off else "–",
            self.no_amplitude,
            f"{useless} of {len(self.amplitude_off)}",
            self.wrong_and_sure,
        ]


HEAD = [
    "coder",
    "kbit/s",
    "right count, one",
    "right count, two",
    "too many balances",
    "rate, median error, s/d",
    "rate, mean, s/d",
    "rate beyond 2 sd",
    "amplitude, median error, °",
    "no amplitude",
    "amplitude off by over 10°",
    "... and by over 3 sd",
]


def main(endshake, first_seed, recordings):
    endshake = pathlib.Path(endshake).resolve()
    rows = collections.defaultdict(Row)
    with tempfile.TemporaryDirectory() as folder:
        wav = pathlib.Path(folder) / "a.wav"
        for seed in range(first_seed, first_seed + recordings):
            for kind in BALANCES:
                truth = simulate(endshake, kind, seed, wav)
                rows["none (WAV)", 768].add(kind, measure(endshake, wav), truth)
                for name, encoder, ending, bit_rates in CODERS:
                    for kbit_s in bit_rates:
                        path = coded(wav, encoder, ending, kbit_s)
                        rows[name, kbit_s].add(kind, measure(endshake, path), truth)
            print(f"seed {seed}", file=sys.stderr)
    print("| " + " | ".join(HEAD) + " |")
    print("|" + "---|" * len(HEAD))
    for (name, kbit_s), row in rows.items():
        print("| " + " | ".join(map(str, [name, kbit_s, *row.cells()])) + " |")


if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit(__doc__)
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
