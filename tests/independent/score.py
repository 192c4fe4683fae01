# SPDX-License-Identifier: GPL-3.0-or-later
"""Compares what the program says with what is true, edge by edge, and sums up a class."""

from collections import Counter
from dataclasses import dataclass, field

import numpy as np

LOWEST_COVERAGE = 0.90  # of the 95 % intervals of an ordinary class


@dataclass
class Tally:
    """Counts and errors of one class, over its clips."""

    edges: int = 0
    unsure: int = 0
    missed: int = 0             # lamp edges without an entry
    invented: int = 0           # entries without a lamp edge, or answers where there was none
    false_no_response: int = 0  # answered by the panel, said not to be
    set_aside: int = 0
    errors: list = field(default_factory=list)       # (error, half width, jump, frame, kind), ms
    pulse_errors: list = field(default_factory=list)  # the same against the first pulse
    full_errors: list = field(default_factory=list)  # ms
    full_missing: int = 0
    interval_errors: list = field(default_factory=list)  # per cent
    interval_missing: int = 0
    flags: Counter = field(default_factory=Counter)
    failures: list = field(default_factory=list)
    worst: list = field(default_factory=list)        # (error over half width, text)


def pair(entries, presses, tolerance_ms):
    """For each true press the index of the entry that shows it, or None; and the entries left over."""
    free = set(range(len(entries)))
    found = []
    for press in presses:
        near = [(abs(entries[i]["reference_ms"] - press["reference_ms"]), i) for i in free
                if entries[i]["edge"] == press["edge"] and entries[i]["reference_ms"] is not None]
        best = min(near, default=(np.inf, None))
        if best[0] <= tolerance_ms:
            free.discard(best[1])
            found.append(best[1])
        else:
            found.append(None)
    return found, free


def judge(tally, clip, result, truth):
    """Adds one clip to the tally. result: the program's JSON. truth: of the same regions."""
    presses = truth["presses"]
    frame_ms = 1000.0 / truth["capture_rate_hz"]
    gaps = np.diff([p["reference_ms"] for p in presses])
    tolerance = max(3 * frame_ms, 6.0) if len(gaps) == 0 else min(max(3 * frame_ms, 6.0), 0.45 * gaps.min())
    entries = result["presses"]
    found, left = pair(entries, presses, tolerance)
    tally.edges += len(presses)
    tally.invented += len(left)
    for i in left:
        tally.flags.update(entries[i]["flags"])
    for number, (press, at) in enumerate(zip(presses, found)):
        if press["unsure"]:
            tally.unsure += 1
        elif at is None:
            tally.missed += 1
        else:
            _judge_press(tally, f"{clip} #{number}", entries[at], press, frame_ms)
    _judge_interval(tally, result, truth)


def _judge_press(tally, name, entry, press, frame_ms):
    tally.flags.update(entry["flags"])
    if not entry["accepted"]:
        tally.set_aside += 1
        return
    latency, true_first = entry["latency_ms"], press["first_light_ms"]
    if latency is None:
        tally.false_no_response += true_first is not None
        return
    if true_first is None:
        tally.invented += 1
        return
    error = latency - (true_first - press["reference_ms"])
    half = entry["uncertainty_ms"]
    tally.errors.append((error, half, press["jump"], frame_ms, press["edge"]))
    tally.worst.append((abs(error) / max(half or 0.0, 1e-9),
                        f"{name} {press['edge']} at {press['reference_ms']:.2f} ms: error {error:+.3f} ms, "
                        f"half width {half} ms, {' '.join(entry['flags'])}"))
    if press["first_pulse_ms"] is not None:
        tally.pulse_errors.append((latency - (press["first_pulse_ms"] - press["reference_ms"]), half))
    if press["full_frame_ms"] is not None:
        if entry["full_frame_ms"] is None:
            tally.full_missing += 1
        else:
            tally.full_errors.append(entry["full_frame_ms"] - press["full_frame_ms"])


def _judge_interval(tally, result, truth):
    timing = result.get("panel_timing")
    said = timing and timing.get("new_frame_ms")
    if said is None:
        tally.interval_missing += 1
    else:
        tally.interval_errors.append(100.0 * (said / truth["new_frame_ms"] - 1))


def rms(values):
    """Root mean square; NaN of nothing."""
    values = np.asarray(values, float)
    return float(np.sqrt(np.mean(values ** 2))) if len(values) else float("nan")


def covered(pairs):
    """Share of errors inside their half widths."""
    inside = [abs(e) <= h for e, h in pairs if h is not None]
    return float(np.mean(inside)) if inside else float("nan")


COLUMNS = ("class", "edges", "missed", "invented", "false no-response", "set aside", "bias", "RMSE",
           "RMSE, no jumps", "inside 95 %", "half width / RMSE", "full frame RMSE ms (none)",
           "new-frame error % (none)", "flags seen most")


def row(kind, tally):
    """Cells of the table for one class; bias and RMSE are in camera frames."""
    frames = np.array([e[0] / e[3] for e in tally.errors])
    calm = np.array([e[0] / e[3] for e in tally.errors if not e[2]])
    halves = np.array([e[1] / e[3] for e in tally.errors if not e[2] and e[1] is not None])
    coverage = covered([e[:2] for e in tally.errors])
    inside = f"{100 * coverage:.1f}"
    if tally.pulse_errors:
        inside += f" ({100 * covered(tally.pulse_errors):.1f} of first pulses)"
    ratio = np.median(halves) / rms(calm) if len(halves) and rms(calm) > 0 else float("nan")
    flags = ", ".join(f"{name} {count}" for name, count in tally.flags.most_common(3))
    intervals = f"{rms(tally.interval_errors):.2f} ({tally.interval_missing})"
    edges = f"{tally.edges}" + (f" ({tally.unsure} unsure)" if tally.unsure else "")
    return (kind.name + ("" if kind.ordinary else " (hard)"), edges, tally.missed, tally.invented,
            tally.false_no_response, tally.set_aside,
            f"{frames.mean():+.3f}" if len(frames) else "-", f"{rms(frames):.3f}", f"{rms(calm):.3f}",
            inside, f"{ratio:.2f}", f"{rms(tally.full_errors):.2f} ({tally.full_missing})", intervals, flags)


def shortcomings(kind, tally):
    """Why an ordinary class does not pass, as sentences; a hard one fails only where the program did."""
    reasons = list(tally.failures)
    if not kind.ordinary:
        return reasons
    if tally.missed:
        reasons.append(f"{tally.missed} presses missed")
    if tally.invented:
        reasons.append(f"{tally.invented} presses or answers invented")
    coverage = covered([e[:2] for e in tally.errors])
    if not coverage >= LOWEST_COVERAGE:
        reasons.append(f"{100 * coverage:.1f} % of the truths inside the 95 % intervals")
    return reasons
