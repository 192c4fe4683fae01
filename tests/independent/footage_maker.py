# SPDX-License-Identifier: GPL-3.0-or-later
"""A scene becomes a clip, and beside it CLIP.truth.json: what is true of it."""

import json
import subprocess
from pathlib import Path

import numpy as np

import camera
from light import Switch
from link import BANDS, PanelLight
from scene import Masks, bounds
from truth import Truth

PLAY_RATE_HZ = 30  # of the file's own time line: slow motion, so the capture rate has to be told

CODERS = {
    "h264": ["-c:v", "libx264", "-preset", "superfast", "-crf", "16"],
    "hevc": ["-c:v", "libx265", "-preset", "ultrafast", "-crf", "16", "-x265-params", "log-level=none",
             "-tag:v", "hvc1"],
    "mjpeg": ["-c:v", "mjpeg", "-q:v", "3"],
}


class Footage:
    """One scene with all that follows from it before any frame is made."""

    def __init__(self, scene):
        self.scene = scene
        self.masks = Masks(scene)
        self.switch = Switch(scene.edges_ms, scene.lit_at_start)
        rng = np.random.default_rng(scene.seed * 15485863 + 3)
        self.panel_light = PanelLight(self.switch, scene.link, scene.panel, scene.last_ms, rng)

    def regions(self):
        """What a tester draws: reference and goggle lamp as X, Y, W, H, panel as four corners."""
        corners = [float(c) for corner in self.scene.layout.corners for c in corner]
        xs, ys = corners[0::2], corners[1::2]
        upright = len(set(xs)) == 2 and len(set(ys)) == 2
        panel = [min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)] if upright else corners
        return {"reference": bounds(self.masks.reference_lamp),
                "goggle": bounds(self.masks.goggle_lamp), "panel": panel}

    def band_weights(self, rectangle):
        """Light of the lamp in a rectangle of the upright picture, per band of the panel."""
        x, y, w, h = (int(round(c)) for c in rectangle)
        part = (slice(max(0, y), max(0, y + h)), slice(max(0, x), max(0, x + w)))
        return np.bincount(self.masks.band[part].ravel(), self.masks.panel_lamp[part].ravel(), BANDS)

    def lamp_share(self, lamp, rectangle):
        """Share of a lamp's light that falls into a rectangle."""
        x, y, w, h = (int(round(c)) for c in rectangle)
        return float(lamp[max(0, y):y + h, max(0, x):x + w].sum() / lamp.sum())

    def truth(self, goggle=None, panel=True):
        """Everything that is true of the clip, for the goggle region given (else the tester's)."""
        scene = self.scene
        weights = self.band_weights(goggle or self.regions()["goggle"])
        answers = Truth(scene, self.switch, self.panel_light, weights)
        refresh_hz = scene.panel.own_rate_hz or scene.link.rate_hz
        return {"scene": scene.name, "seed": scene.seed, "regions": self.regions(),
                "capture_rate_hz": scene.camera.rate_hz, "exposure_ms": scene.camera.exposure_ms,
                "line_time_us": scene.camera.line_us, "new_frame_ms": scene.link.interval_ms,
                "refresh_ms": 1000.0 / refresh_hz, "scan_ms": scene.panel.scan_ms,
                "presses": answers.presses(panel)}

    def write(self, clip):
        """Films the scene into the file, and writes its truth beside it."""
        cam = self.scene.camera
        filming = camera.Filming(self.scene, self.masks, self.switch, self.panel_light)
        full_range = cam.codec == "mjpeg"
        table = camera.luma_codes(cam.bits, full_range)
        command = coder_command(clip, cam, filming.width, filming.height)
        with subprocess.Popen(command, stdin=subprocess.PIPE) as coder:
            for light in filming.chunks():
                coder.stdin.write(camera.planes(light, cam.bits, full_range, table))
            coder.stdin.close()
            if coder.wait() != 0:
                raise RuntimeError(f"{clip}: ffmpeg could not code the clip; its own words stand above.")
        if cam.turned:
            turn(clip)
        Path(f"{clip}.truth.json").write_text(json.dumps(self.truth(), indent=1), encoding="utf-8")


def coder_command(clip, cam, width, height):
    """Words for ffmpeg: raw frames from standard input into the clip."""
    depth = {8: "yuvj420p" if cam.codec == "mjpeg" else "yuv420p", 10: "yuv420p10le"}[cam.bits]
    fields = ["-flags", "+ilme+ildct", "-top", "1"] if cam.interlaced else []
    colours = ["-color_primaries", "bt709", "-color_trc", "bt709", "-colorspace", "bt709",
               "-color_range", "pc" if cam.codec == "mjpeg" else "tv"]
    return ["ffmpeg", "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", depth, "-s", f"{width}x{height}",
            "-r", str(PLAY_RATE_HZ), "-i", "-", *CODERS[cam.codec], "-threads", "1", *fields,
            "-pix_fmt", depth, *colours, str(clip)]


def turn(clip):
    """Sets the flag by which players turn the picture clockwise; the pixels stay.

    ffmpeg 5.1 takes the angle against the clock here; a test looks at the picture that is shown.
    """
    clip = Path(clip)
    aside = clip.with_name("turned-" + clip.name)
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", str(clip), "-c", "copy",
                    "-metadata:s:v:0", "rotate=270", str(aside)], check=True)
    aside.replace(clip)
