# SPDX-License-Identifier: GPL-3.0-or-later
"""The classes of scenes: what each one stresses, drawn anew for every seed. All of it is invented.

`ordinary` scenes are what a careful tester films; the definitions page claims them in full.
`hard` ones are known to be difficult: there the program may doubt, and has to say so.
"""

from dataclasses import dataclass, replace
from typing import Callable

import numpy as np

from scene import Camera, Layout, Light, Link, Panel, Scene

LINK_RATES_HZ = (50.0, 60.0, 72.0, 90.0, 120.0)


@dataclass
class Kind:
    """A class: its name, whether it is ordinary, and how it changes a basic scene."""

    name: str
    ordinary: bool
    change: Callable  # (scene, random generator) -> scene
    rate_hz: float = 480.0
    edges: int = 20


def irregular(rng, count, shortest_ms, longest_ms, lead_ms=90.0):
    """Moments of presses whose holds are even over a range. Unit: ms."""
    holds = rng.uniform(shortest_ms, longest_ms, count)
    return tuple(lead_ms + np.cumsum(holds) - holds[0] + rng.uniform(0, 20))


def landscape(rng):
    """Reference lamp left, panel right, a little different each time."""
    dx, dy = rng.integers(-5, 6), rng.integers(-6, 7)
    left, top, right, bottom = 98 + dx, 36 + dy, 238 + dx, 156 + dy
    return Layout(reference=(42 + rng.uniform(-6, 6), rng.uniform(70, 125)),
                  reference_radius=rng.uniform(9, 13), lamp_radius=rng.uniform(7.5, 11),
                  corners=((left, top), (right, top), (right, bottom), (left, bottom)),
                  lamp=(rng.uniform(0.35, 0.65), rng.uniform(0.3, 0.7)))


def basic(kind, seed):
    """A plain scene at the capture rate of the class."""
    rng = np.random.default_rng([seed, sum(kind.name.encode()) * 31 + len(kind.name)])
    rate = float(rng.choice(LINK_RATES_HZ))
    interval = 1000.0 / rate
    link = Link(rate_hz=rate, exposure_ms=rng.uniform(0.3, 0.85) * interval,
                readout_ms=rng.uniform(0.3, 0.9) * interval, phase_ms=rng.uniform(0, interval),
                delay_ms=rng.uniform(4, 22), jitter_ms=rng.uniform(0, 0.15))
    panel = Panel(scan_ms=rng.uniform(0.4, 0.9) * interval, rise_ms=rng.uniform(0.1, 0.8),
                  fall_ms=rng.uniform(0.1, 0.9))
    camera = Camera(rate_hz=kind.rate_hz, exposure_share=rng.uniform(0.6, 0.95))
    shortest = max(80.0, 6.5 * interval)
    scene = Scene(name=kind.name, seed=seed, camera=camera, link=link, panel=panel,
                  layout=landscape(rng), edges_ms=irregular(rng, kind.edges, shortest, shortest + 60))
    return kind.change(scene, rng), rng


def scene_of(kind, seed):
    """The scene of a class and a seed; it ends when the last answer has settled."""
    scene, _ = basic(kind, seed)
    # No row may be shown before it has been exposed.
    panel, link = scene.panel, scene.link
    ahead = link.readout_ms if panel.bottom_up else max(0.0, link.readout_ms - panel.scan_ms)
    scene = replace(scene, link=replace(link, delay_ms=max(link.delay_ms, ahead + 1.0)))
    return replace(scene, last_ms=scene.edges_ms[-1] + 120.0 + 7 * scene.link.interval_ms)


def _with(part, **changes):
    """A change of one part of the scene; values may be ranges, drawn evenly."""
    def change(scene, rng):
        drawn = {k: rng.uniform(*v) if isinstance(v, list) else v for k, v in changes.items()}
        return replace(scene, **{part: replace(getattr(scene, part), **drawn)})
    return change


def _each(*steps):
    """Several changes, one after the other."""
    def change(scene, rng):
        for step in steps:
            scene = step(scene, rng)
        return scene
    return change


def _plain(scene, _rng):
    return scene


def _told(exposure=True, line_time=True):
    return lambda scene, rng: replace(scene, tell_exposure=exposure, tell_line_time=line_time)


def _portrait(scene, rng):
    dx, dy = rng.integers(-6, 7), rng.integers(-5, 6)
    left, top, right, bottom = 26 + dx, 96 + dy, 166 + dx, 216 + dy
    layout = replace(scene.layout, width=192, height=256, reference=(rng.uniform(60, 130), 44.0),
                     corners=((left, top), (right, top), (right, bottom), (left, bottom)))
    return replace(scene, layout=layout, camera=replace(scene.camera, turned=True, line_us=rng.uniform(4, 14)))


def _heights(scene, rng):
    """Lamps far apart in rows, so that a shutter that is not corrected shows."""
    upper, lower = rng.uniform(26, 45), rng.uniform(0.7, 0.8)
    if rng.random() < 0.5:
        upper, lower = rng.uniform(150, 168), rng.uniform(0.2, 0.3)
    layout = replace(scene.layout, reference=(scene.layout.reference[0], upper), lamp=(0.5, lower))
    return replace(scene, layout=layout)


def _tilted(scene, rng):
    corners = tuple((x + rng.uniform(-1, 1) * 7, y + rng.uniform(-1, 1) * 7)
                    for x, y in ((104, 42), (232, 30), (240, 164), (98, 146)))
    corners = tuple((round(x), round(y)) for x, y in corners)
    return replace(scene, layout=replace(scene.layout, corners=corners))


def _own_clock(scene, rng):
    rate = scene.link.rate_hz * rng.choice([1.0, 1.2, 1.5, 2.0]) * rng.uniform(0.98, 1.02)
    panel = replace(scene.panel, own_rate_hz=rate, own_phase_ms=rng.uniform(0, 20),
                    scan_ms=rng.uniform(0.6, 0.95) * 1000 / rate)
    return replace(scene, panel=panel)


def _strobe(low_hz, high_hz, width_share):
    def change(scene, rng):
        period = 1000.0 / rng.uniform(low_hz, high_hz)
        panel = replace(scene.panel, strobe_ms=period, strobe_width_ms=period * rng.uniform(*width_share),
                        strobe_phase_ms=rng.uniform(0, period))
        light = replace(scene.light, goggle=0.6, panel=0.08)
        return replace(scene, panel=panel, light=light)
    return change


def _holds(shortest_ms, longest_ms):
    def change(scene, rng):
        edges = irregular(rng, len(scene.edges_ms), shortest_ms, longest_ms)
        return replace(scene, edges_ms=edges)
    return change


def _shorter_than_latency(scene, rng):
    """Holds of a few link frames, while the answer takes longer than each of them."""
    link = replace(scene.link, rate_hz=120.0, exposure_ms=4.0, readout_ms=5.0, delay_ms=rng.uniform(38, 50))
    panel = replace(scene.panel, scan_ms=6.0)
    return _holds(26.0, 44.0)(replace(scene, link=link, panel=panel), rng)


def _pairs(scene, rng):
    """A short press, then a long pause: the pair is closer than the latency."""
    link = replace(scene.link, rate_hz=120.0, exposure_ms=4.0, readout_ms=5.0, delay_ms=rng.uniform(28, 44))
    holds = np.ravel(np.column_stack([rng.uniform(22, 34, 10), rng.uniform(150, 230, 10)]))
    edges = tuple(100 + np.concatenate([[0.0], np.cumsum(holds)[:-1]]))
    return replace(scene, link=link, panel=replace(scene.panel, scan_ms=6.0), edges_ms=edges)


def _near_a_link_frame(scene, rng):
    """Presses of half to two link frames, then a pause."""
    interval = scene.link.interval_ms
    holds = np.ravel(np.column_stack([rng.uniform(0.5, 2.0, 10) * interval, rng.uniform(110, 170, 10)]))
    edges = tuple(100 + np.concatenate([[0.0], np.cumsum(holds)[:-1]]))
    return replace(scene, edges_ms=edges)


def _first_edges(count):
    return lambda scene, rng: replace(scene, edges_ms=scene.edges_ms[:count])


RED, GREEN = (1.0, 0.03, 0.02), (0.04, 1.0, 0.10)

KINDS = (
    Kind("plain, 1000 frames/s", True, _plain, 1000.0, 14),
    Kind("plain, 480 frames/s", True, _plain),
    Kind("plain, 240 frames/s", True, _plain, 240.0, 24),
    Kind("plain, 120 frames/s", True, _holds(150, 240), 120.0, 24),
    Kind("HEVC", True, _with("camera", codec="hevc")),
    Kind("MJPEG", True, _with("camera", codec="mjpeg")),
    Kind("10 bit HEVC", True, _with("camera", codec="hevc", bits=10)),
    Kind("portrait, rolling shutter", True, _portrait, 240.0),
    Kind("short exposure", True, _with("camera", exposure_share=[0.1, 0.2])),
    Kind("long exposure", True, _with("camera", exposure_share=1.0), 240.0, 24),
    Kind("rolling shutter, told", True, _each(_heights, _with("camera", line_us=[5, 16])), 240.0),
    Kind("rolling shutter, not told", True,
         _each(_heights, _with("camera", line_us=[5, 16]), _told(line_time=False)), 240.0),
    Kind("exposure not told", True, _told(exposure=False)),
    Kind("neither told, rolling", False,
         _each(_heights, _with("camera", line_us=[5, 16]), _told(False, False)), 240.0),
    Kind("clipped reference", False, _with("light", reference=[1.6, 3.0])),
    Kind("clipped goggle", False, _with("light", goggle=[1.3, 2.2])),
    Kind("afterglow of the reference", False, _with("light", afterglow=[0.15, 0.3], afterglow_ms=[0.5, 2.0])),
    Kind("half-covered reference", True, _with("light", cover=[0.4, 0.6])),
    Kind("red and green lamps", True, _with("light", reference_colour=RED, goggle_colour=GREEN)),
    Kind("both lamps red", True, _with("light", reference_colour=RED, goggle_colour=RED)),
    Kind("dim goggle", False, _with("light", goggle=[0.02, 0.04], wall=0.004, panel=0.015)),
    Kind("bloom", True, _with("light", bloom=[0.08, 0.15])),
    Kind("drift of the room", True, _with("light", drift=[0.05, 0.12])),
    Kind("mains flicker", True, _with("light", room=0.08, mains=[0.2, 0.5])),
    Kind("hand shake", True, _with("camera", shake_px=[0.5, 1.5])),
    Kind("auto-exposure wanders", False, _with("camera", gain_wander=[0.03, 0.08])),
    Kind("slow panel", True, _with("panel", rise_ms=[2, 5], fall_ms=[2, 5])),
    Kind("overshoot", True, _with("panel", overdrive=[0.1, 0.25], rise_ms=[0.8, 2], fall_ms=[0.8, 2])),
    Kind("fast strobe", False, _strobe(88, 110, (0.1, 0.3)), 240.0, 24),
    Kind("strobe beating with the camera", False, _strobe(119.2, 120.8, (0.1, 0.3)), 240.0, 24),
    Kind("slow strobe", False, _strobe(60, 100, (0.15, 0.3)), 1000.0, 14),
    Kind("PWM backlight", True, _strobe(1500, 2600, (0.4, 0.8))),
    Kind("global update", True, _with("panel", scan_ms=0.0)),
    Kind("bottom up", True, _with("panel", bottom_up=True)),
    Kind("panel with its own clock", True, _own_clock),
    Kind("presses shorter than the latency", True, _shorter_than_latency),
    Kind("pairs closer than the latency", True, _pairs),
    Kind("presses near one link frame", False, _near_a_link_frame),
    Kind("lit at the start", True, lambda s, r: replace(s, lit_at_start=True)),
    Kind("late and lost pictures", False, _with("link", late_share=0.12, lost_share=0.06, jitter_ms=0.6)),
    Kind("lamp too bright for the link", True, _with("link", gain=[1.5, 4.0])),
    Kind("decoy reflections", True, _with("light", reflection=[0.15, 0.4])),
    Kind("interlaced", False, _each(_holds(130, 220), _with("camera", interlaced=True, exposure_share=0.45)), 120.0, 24),
    Kind("single press", True, _first_edges(2)),
    Kind("panel seen at an angle", True, _tilted),
)


def suffix(scene):
    """File name ending that suits the codec."""
    return ".mov" if scene.camera.codec == "mjpeg" else ".mp4"
