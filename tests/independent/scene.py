# SPDX-License-Identifier: GPL-3.0-or-later
"""One scene: the rig, the link, the presses, and where everything stands in the picture.

Pictures are upright here; `camera` turns them into stored rows. Positions are pixels, x to the right,
y down, the centre of the first pixel at (0, 0). Light is a share of the camera's full scale.
"""

from dataclasses import dataclass, field

import numpy as np

from link import BANDS, Link, Panel

GREY = (1.0, 1.0, 1.0)


@dataclass
class Camera:
    """The high-speed camera."""

    rate_hz: float = 480.0
    exposure_share: float = 0.8     # of the frame interval
    line_us: float = 0.0            # delay from one stored row to the next
    full_well: float = 6000.0       # electrons at full scale
    read_noise: float = 0.003       # share of full scale
    black: float = 0.004            # share of full scale that is there without light
    bits: int = 8
    codec: str = "h264"             # h264, hevc, mjpeg
    turned: bool = False            # stored on its side, with a rotation flag
    interlaced: bool = False        # second field half a frame later
    shake_px: float = 0.0
    gain_wander: float = 0.0        # share by which auto-exposure moves

    @property
    def frame_ms(self):
        """Frame interval."""
        return 1000.0 / self.rate_hz

    @property
    def exposure_ms(self):
        """Length of an exposure."""
        return self.exposure_share * self.frame_ms


@dataclass
class Light:
    """Lamps and the light around them."""

    reference: float = 0.55
    goggle: float = 0.45
    panel: float = 0.05             # what the panel shows without the lamp
    wall: float = 0.10              # what the lamp lights up in the rest of the link's picture
    room: float = 0.02
    drift: float = 0.0              # share of `reference` by which the room's light moves
    mains: float = 0.0              # modulation of the room's light at 100 Hz
    afterglow: float = 0.0          # share of the reference lamp's light that follows slowly
    afterglow_ms: float = 1.0
    bloom: float = 0.02             # wide glow around the lamps, share of their light
    cover: float = 0.0              # share of the reference lamp's width that is covered
    reflection: float = 0.0         # of the reference lamp, elsewhere in the picture
    reference_colour: tuple = GREY
    goggle_colour: tuple = GREY

    @property
    def coloured(self):
        """Whether the three channels differ."""
        return self.reference_colour != GREY or self.goggle_colour != GREY


@dataclass
class Layout:
    """Where things stand. Corners clockwise from top left; `lamp` in shares of the panel."""

    width: int = 256
    height: int = 192
    reference: tuple = (40.0, 96.0)
    reference_radius: float = 11.0
    corners: tuple = ((98, 36), (238, 36), (238, 156), (98, 156))
    lamp: tuple = (0.5, 0.5)
    lamp_radius: float = 9.0


@dataclass
class Scene:
    """Everything that is needed to make a clip, and what the tester tells the program about it."""

    name: str = "scene"
    seed: int = 1
    edges_ms: tuple = ()
    lit_at_start: bool = False
    last_ms: float = 1000.0
    camera: Camera = field(default_factory=Camera)
    light: Light = field(default_factory=Light)
    layout: Layout = field(default_factory=Layout)
    link: Link = field(default_factory=Link)
    panel: Panel = field(default_factory=Panel)
    tell_exposure: bool = True
    tell_line_time: bool = True

    @property
    def frame_count(self):
        """Frames of the clip."""
        return int(self.last_ms / self.camera.frame_ms)


def homography(corners):
    """3 x 3 matrix from the picture to the panel, whose corners become the unit square's.

    Source: four point pairs give eight linear equations for eight unknowns.
    """
    unit = ((0, 0), (1, 0), (1, 1), (0, 1))
    rows, right = [], []
    for (x, y), (u, v) in zip(corners, unit):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        right.append(u)
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
        right.append(v)
    return np.append(np.linalg.solve(np.array(rows, float), np.array(right, float)), 1).reshape(3, 3)


def on_panel(matrix, x, y):
    """Place on the panel, shares of its width and height, of places in the picture."""
    w = matrix[2, 0] * x + matrix[2, 1] * y + matrix[2, 2]
    u = (matrix[0, 0] * x + matrix[0, 1] * y + matrix[0, 2]) / w
    v = (matrix[1, 0] * x + matrix[1, 1] * y + matrix[1, 2]) / w
    return u, v


def disc(distance, radius, softness=0.7):
    """Soft-edged disc, 1 inside, 0 outside, half at the radius. Unit: px."""
    return 1.0 / (1.0 + np.exp(np.clip((distance - radius) / softness, -60, 60)))


def texture(rng, height, width, grain):
    """Soft random texture with mean 1 and a few tens of per cent of contrast."""
    small = rng.standard_normal((height // grain + 2, width // grain + 2))
    y, x = np.arange(height) / grain, np.arange(width) / grain
    rows = np.array([np.interp(x, np.arange(small.shape[1]), row) for row in small])
    return 1 + 0.25 * np.array([np.interp(y, np.arange(small.shape[0]), c) for c in rows.T]).T


class Masks:
    """Amplitude of each layer in the upright picture, H x W, and the panel band of each pixel."""

    def __init__(self, scene):
        rng = np.random.default_rng(scene.seed * 7919 + 5)
        layout, light = scene.layout, scene.light
        height, width = layout.height, layout.width
        y, x = np.mgrid[0:height, 0:width].astype(float)
        self._panel(layout, light, x, y, rng)
        away = np.hypot(x - layout.reference[0], y - layout.reference[1])
        lamp = disc(away, layout.reference_radius)
        if light.cover:
            edge = layout.reference[0] + layout.reference_radius * (1 - 2 * light.cover)
            lamp = lamp / (1 + np.exp(np.clip((x - edge) / 0.5, -60, 60)))
        self.reference_lamp = lamp
        glow = light.bloom * np.exp(-away / 14.0)
        self.reference = light.reference * (lamp + glow + self._reflections(scene, x, y))
        self.room = light.room * texture(rng, height, width, 5) * (1 - 0.8 * self.cover)

    def _panel(self, layout, light, x, y, rng):
        matrix = homography(layout.corners)
        self.cover = np.zeros_like(x)
        for dy in (-1 / 3, 0, 1 / 3):
            for dx in (-1 / 3, 0, 1 / 3):
                u, v = on_panel(matrix, x + dx, y + dy)
                self.cover += ((u >= 0) & (u <= 1) & (v >= 0) & (v <= 1)) / 9.0
        u, v = on_panel(matrix, x, y)
        self.band = np.clip(np.rint(v * (BANDS - 1)), 0, BANDS - 1).astype(int)
        corners = np.array(layout.corners, float)
        across = np.linalg.norm(corners[1] - corners[0]) + np.linalg.norm(corners[2] - corners[3])
        down = np.linalg.norm(corners[3] - corners[0]) + np.linalg.norm(corners[2] - corners[1])
        away = np.hypot((u - layout.lamp[0]) * across / 2, (v - layout.lamp[1]) * down / 2)
        self.goggle_lamp = disc(away, layout.lamp_radius) * self.cover
        wall = light.wall * (0.6 + 0.4 * np.exp(-(away / 40.0) ** 2))
        self.panel_still = light.panel * texture(rng, *x.shape, 8) * self.cover
        bloom = light.goggle * light.bloom * np.exp(-away / 14.0)
        self.panel_lamp = light.goggle * self.goggle_lamp + (wall + bloom) * self.cover

    @staticmethod
    def _reflections(scene, x, y):
        """The reference lamp once more, dimmer, at two places off panel and lamp."""
        strength = scene.light.reflection
        if not strength:
            return 0.0
        layout = scene.layout
        first = np.hypot(x - 14, (y - 14) / 0.6)
        second = np.hypot((x - layout.width + 40) / 2.0, y - layout.height + 14)
        return strength * (disc(first, 7) + 0.7 * disc(second, 5))


def bounds(mask, margin=2):
    """X, Y, W, H around what a tester sees of a lamp, with a margin. Unit: px."""
    rows, columns = np.where(mask > 0.03)
    height, width = mask.shape
    left, top = max(0, columns.min() - margin), max(0, rows.min() - margin)
    right, bottom = min(width, columns.max() + 1 + margin), min(height, rows.max() + 1 + margin)
    return int(left), int(top), int(right - left), int(bottom - top)
