#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Prints what the benchmarks of one run measured, each figure beside what is asked of it.

Usage: table.py RESULT.json ...   (Google Benchmark's JSON)
A figure that is only reported has no verdict. Exit status 0 whatever the figures are: they are for
people to judge, and a busy machine is no fault of the program.
"""
import json
import sys

AT_LEAST, AT_MOST, TOLD = "at least", "at most", ""

# Name of the benchmark (its start), counter, words, relation, target. "real" is the time itself.
ROWS = [
    ("scanAgainstFfmpeg/h264_1080p", "ratio", "full scan, H.264 1080p GOP 30, of plain decoding's speed", AT_LEAST, 1.2),
    ("scanAgainstFfmpeg/hevc_1080p", "ratio", "full scan, HEVC 1080p GOP 30", AT_LEAST, 1.2),
    ("scanAgainstFfmpeg/h264_720p", "ratio", "full scan, H.264 720p GOP 30", AT_LEAST, 1.2),
    ("scanAgainstFfmpeg/h264_gop250", "ratio", "full scan, H.264 1080p GOP 250", AT_LEAST, 0.95),
    ("scanAgainstFfmpeg/hevc_10bit", "ratio", "full scan, HEVC 10 bit", AT_LEAST, 0.95),
    ("scanAgainstFfmpeg/mjpeg_1080p", "ratio", "full scan, MJPEG", AT_LEAST, 0.95),
    ("scanAgainstOpenCv/h264_1080p", "ratio", "full scan, of a plain OpenCV loop's speed, H.264", AT_LEAST, 1.6),
    ("scanAgainstOpenCv/hevc_10bit", "ratio", "the same, HEVC 10 bit", AT_LEAST, 1.6),
    ("sparseAgainstFfmpeg/hold_400ms", "scan_ratio", "sparse scan, hold 400 ms, of plain decoding's speed", AT_LEAST, 3.0),
    ("sparseAgainstFfmpeg/hold_400ms", "whole_ratio", "the whole command, hold 400 ms", TOLD, None),
    ("sparseAgainstFfmpeg/hold_400ms", "decoded_share", "share of the frames decoded, hold 400 ms", TOLD, None),
    ("sparseAgainstFfmpeg/hold_100ms", "scan_ratio", "sparse scan, hold 100 ms", TOLD, None),
    ("sparseAgainstFfmpeg/hold_400ms", "difference", "largest difference from the full scan, half widths", AT_MOST, 0.1),
    ("fillLightMap", "more_cpu_share", "share of a scan's processor time that its light map adds", AT_MOST, 0.03),
    ("secondLook/in_memory", "without_timing_ms", "another panel told from the map of a minute, ms", TOLD, None),
    ("analysisAgainstScan", "share", "analysis alone, share of the full scan's time", AT_MOST, 0.03),
    ("analysisByLength", "growth", "analysis of 8 minutes, in times 8 of one", AT_MOST, 1.1),
    ("randomAccess/h264_1080p", "p95_ratio", "random access p95, H.264, of decoding from the keyframe", AT_MOST, 1.1),
    ("randomAccess/hevc_1080p", "p95_ratio", "random access p95, HEVC", AT_MOST, 1.1),
    ("stepBack/h264_1080p", "p95_ms", "a step back p95, ms", AT_MOST, 8.0),
    ("holdStepKey/on_h264_1080p", "longest_ms", "step key held on, longest wait, ms", AT_MOST, 50.0),
    ("holdStepKey/back_h264_1080p", "longest_ms", "step key held back, longest wait, ms", AT_MOST, 50.0),
    ("holdStepKey/back_h264_720p", "longest_ms", "the same, 720p", AT_MOST, 50.0),
    ("holdStepKey/back_hevc_1080p", "longest_ms", "the same, HEVC 1080p", AT_MOST, 50.0),
    ("holdStepKey/back_h264_gop250", "longest_ms", "the same, GOP 250", TOLD, None),
    ("firstFrames", "real", "index and first 200 frames, ms", AT_MOST, 1000.0),
    ("memoryOfALongScan", "peak_MiB", "peak memory of 10 000 frames of 1080p, MiB", AT_MOST, 600.0),
    ("openSession", "real", "opening 200 settings and 100 000 presses, ms", AT_MOST, 1000.0),
    ("commitChange", "p95_ms", "committing a change p95, ms", AT_MOST, 20.0),
    ("compareTwo", "real", "comparing two settings, ms", AT_MOST, 1000.0),
    ("rankAll/200", "real", "ranking 200 settings, ms", AT_MOST, 1000.0),
    ("overviewWhilePressesAreAdded", "real", "overview while presses are added, ms", AT_MOST, 16.0),
]


def measured(files):
    runs = []
    for name in files:
        with open(name, encoding="utf-8") as file:
            runs += json.load(file)["benchmarks"]
    return runs


def figure_of(run, counter):
    if run.get("error_occurred"):
        return None
    if counter == "real":
        to_ms = {"ns": 1e-6, "us": 1e-3, "ms": 1.0, "s": 1e3}
        return run["real_time"] * to_ms[run["time_unit"]]
    return run.get(counter)


def verdict(figure, relation, target):
    if relation == TOLD:
        return ""
    met = figure >= target if relation == AT_LEAST else figure <= target
    return f"{relation} {target:g}: {'met' if met else 'MISSED'}"


def main():
    runs = measured(sys.argv[1:])
    for start, counter, words, relation, target in ROWS:
        for run in runs:
            name = run["name"]
            if name != start and not name.startswith(start + "/"):
                continue
            figure = figure_of(run, counter)
            if figure is None:
                print(f"{'failed':>10}  {words}")
            else:
                print(f"{figure:>10.3g}  {words:<62} {verdict(figure, relation, target)}")
            break


if __name__ == "__main__":
    main()
