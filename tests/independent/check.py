#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Films every class of scenes, lets the program measure the clips, and compares with the truth.

    check.py BINARY [--only PART]... [--located] [--seeds N] [--jobs N] [--keep FOLDER]
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

try:
    import numpy  # noqa: F401  (told here in one sentence, not by the first module that needs it)
except ModuleNotFoundError:
    sys.exit(f"{sys.executable} has no numpy: install python3-numpy, or start this with the python3 that has it.")

from classes import KINDS, scene_of, suffix
from footage_maker import Footage
from score import COLUMNS, Tally, judge, row, shortcomings

TIME_LIMIT_S = 300        # one clip, measured
ENOUGH_OF_A_LAMP = 0.3    # share of the lamp's light in a located region that still is this lamp


def words(binary, clip, footage, located):
    """The command as a tester would give it."""
    scene = footage.scene
    command = [binary, "measure", str(clip), "--json", f"{clip}.result.json",
               "--capture-rate", f"{scene.camera.rate_hz:g}"]
    if not located:
        for name, numbers in footage.regions().items():
            command += [f"--{name}", ",".join(f"{n:g}" for n in numbers)]
    if scene.tell_exposure:
        command += ["--exposure", f"{scene.camera.exposure_ms:.4f}"]
    if scene.camera.line_us and scene.tell_line_time:
        command += ["--line-time", f"{scene.camera.line_us:.4f}"]
    return command


def measure(binary, clip, footage, located):
    """The program's JSON, or a sentence on why there is none."""
    environment = dict(os.environ, XDG_CACHE_HOME=str(clip.parent / "cache"))
    command = words(binary, clip, footage, located)
    Path(f"{clip}.command.txt").write_text(" ".join(command) + "\n", encoding="utf-8")
    try:
        done = subprocess.run(command, env=environment, capture_output=True, text=True,
                              timeout=TIME_LIMIT_S, check=False)
    except subprocess.TimeoutExpired:
        return None, f"no result after {TIME_LIMIT_S} s"
    if done.returncode not in (0, 4):
        return None, f"status {done.returncode}: {done.stderr.strip()}"
    result = json.loads(Path(f"{clip}.result.json").read_text(encoding="utf-8"))
    return result, None if done.returncode == 0 else done.stderr.strip()


def check_clip(job):
    """Films and measures one clip: (class number, clip, result, truth, trouble)."""
    binary, number, seed, located, folder = job
    footage = Footage(scene_of(KINDS[number], seed))
    name = "".join(c if c.isalnum() else "-" for c in KINDS[number].name)
    clip = Path(folder) / f"{name}-{seed}{suffix(footage.scene)}"
    footage.write(clip)
    result, trouble = measure(binary, clip, footage, located)
    goggle = None
    if located and result and result.get("regions"):
        regions = result["regions"]
        goggle = regions["goggle"]
        for lamp, mask in (("reference", footage.masks.reference_lamp), ("goggle", footage.masks.goggle_lamp)):
            share = footage.lamp_share(mask, regions[lamp]) if regions[lamp] else 0.0
            if share < ENOUGH_OF_A_LAMP:
                trouble = f"{lamp} lamp located elsewhere: {regions[lamp]}, is {footage.regions()[lamp]}"
                result, goggle = {"presses": []}, None
                break
    return number, clip.name, result, footage.truth(goggle), trouble


def run(options, numbers):
    """Tallies of the classes, by number, as soon as each class is complete."""
    tallies = {n: Tally() for n in numbers}
    left = {n: options.seeds for n in numbers}
    with tempfile.TemporaryDirectory() as temporary, ProcessPoolExecutor(options.jobs) as pool:
        folder = options.keep or temporary
        Path(folder).mkdir(parents=True, exist_ok=True)
        jobs = [(options.binary, n, seed, options.located, folder)
                for n in numbers for seed in range(options.first_seed, options.first_seed + options.seeds)]
        for number, clip, result, truth, trouble in pool.map(check_clip, jobs):
            tally = tallies[number]
            if trouble:
                tally.failures.append(f"{clip}: {trouble}")
            judge(tally, clip, result or {"presses": []}, truth)
            left[number] -= 1
            if left[number] == 0:
                print("| " + " | ".join(str(c) for c in row(KINDS[number], tally)) + " |", flush=True)
    return tallies


def main():
    """Exit status: 0 every ordinary class holds, 1 one does not, 2 the words are off."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("binary", help="the program, built")
    parser.add_argument("--only", action="append", metavar="PART", help="part of a class's name; may be repeated")
    parser.add_argument("--located", action="store_true", help="leave the regions to the program")
    parser.add_argument("--seeds", type=int, default=3, help="clips a class (3)")
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="clips at a time (every core)")
    parser.add_argument("--keep", metavar="FOLDER", help="leave clips, truths and results there")
    options = parser.parse_args()
    options.binary = str(Path(options.binary).resolve())
    numbers = [n for n, kind in enumerate(KINDS)
               if not options.only or any(part in kind.name for part in options.only)]
    if not numbers or not os.access(options.binary, os.X_OK):
        parser.error("no class has such a name" if not numbers else f"{options.binary} is no program")
    started = time.monotonic()
    print("| " + " | ".join(COLUMNS) + " |\n|" + "---|" * len(COLUMNS), flush=True)
    tallies = run(options, numbers)
    failed = False
    print()
    for number, tally in tallies.items():
        reasons = shortcomings(KINDS[number], tally)
        failed |= bool(reasons) and KINDS[number].ordinary
        for reason in reasons:
            print(f"- {KINDS[number].name}: {reason}")
        for _, text in sorted(tally.worst, reverse=True)[:3 if reasons else 0]:
            print(f"  - {text}")
    print(f"\n{time.monotonic() - started:.0f} s")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
