# SPDX-License-Identifier: GPL-3.0-or-later
"""The high-speed camera: exposure of every pixel, noise, transfer curve, code values.

Arrays of light hold shares of full scale, in stored rows. Chunks of frames keep memory small.
"""

import numpy as np

from light import OnePole

CHUNK = 48  # frames that are worked on together
MAINS_HZ = 100.0

# Rec. ITU-R BT.709-6 item 1.2, with the constants that make the curve and its slope continuous.
ALPHA, BETA = 1.09929682680944, 0.018053968510807


def to_signal(light):
    """Light 0 to 1 to the signal 0 to 1 (BT.709)."""
    light = np.clip(light, 0.0, 1.0)
    return np.where(light < BETA, 4.5 * light, ALPHA * light ** 0.45 - (ALPHA - 1))


def mean_over(integral, start_ms, length_ms):
    """Mean of a course of light over [start, start + length), from its integral."""
    return (integral(start_ms + length_ms) - integral(start_ms)) / length_ms


class Exposures:
    """When the stored rows of frame k are exposed."""

    def __init__(self, camera, stored_rows):
        self.frame_ms, self.length_ms = camera.frame_ms, camera.exposure_ms
        self.row_ms = np.arange(stored_rows) * camera.line_us / 1000.0
        if camera.interlaced:
            self.row_ms = self.row_ms + (np.arange(stored_rows) % 2) * self.frame_ms / 2

    def starts(self, frames):
        """Shape frames x rows. Unit: ms."""
        return frames[:, None] * self.frame_ms + self.row_ms[None, :]


class Filming:
    """Makes the frames of a scene; iterate over `chunks()`."""

    def __init__(self, scene, masks, switch, panel_light):
        self.scene, self.switch, self.panel_light = scene, switch, panel_light
        self.rng = np.random.default_rng(scene.seed * 104729 + 11)
        turned = scene.camera.turned
        turn = (lambda m: np.ascontiguousarray(np.rot90(m) if turned else m))
        self.reference = turn(masks.reference).astype(np.float32)
        self.room = turn(masks.room).astype(np.float32)
        self.still = turn(masks.panel_still).astype(np.float32)
        self.lamp = turn(masks.panel_lamp).astype(np.float32)
        self.height, self.width = self.room.shape
        self.exposures = Exposures(scene.camera, self.height)
        self._group_panel(turn(masks.band), turn(masks.cover) > 0)
        light = scene.light
        self.tail = None
        if light.afterglow:
            self.tail = OnePole(switch.edges_ms, switch.states[1:, None], [0.0],
                                light.afterglow_ms, light.afterglow_ms, before=switch.states[:1])
        self.drift_phase = self.rng.uniform(0, 2 * np.pi, 6)

    def _group_panel(self, band, inside):
        """Panel pixels that share their band and their row's time are lit alike."""
        rows, columns = np.where(inside)
        self.panel_box = (slice(rows.min(), rows.max() + 1), slice(columns.min(), columns.max() + 1))
        row_ms = np.broadcast_to(self.exposures.row_ms[:, None], band.shape)[self.panel_box]
        times, time_index = np.unique(row_ms, return_inverse=True)
        key = time_index.reshape(row_ms.shape) * 100000 + band[self.panel_box]
        keys, pair = np.unique(key, return_inverse=True)
        self.pair_of_pixel = pair.reshape(row_ms.shape)
        self.pair_ms = times[keys // 100000]
        self.pair_band = keys % 100000

    def _reference_light(self, starts):
        length, light = self.exposures.length_ms, self.scene.light
        lit = mean_over(self.switch.integral, starts, length)
        if self.tail is not None:
            slow = mean_over(lambda t: self.tail.integral(t, 0), starts, length)
            lit = (1 - light.afterglow) * lit + light.afterglow * slow
        return lit

    def _room_light(self, starts):
        """Factor on the room's light and light added everywhere, frames x rows."""
        light, length = self.scene.light, self.exposures.length_ms
        omega = 2 * np.pi * MAINS_HZ / 1000.0
        factor = np.ones_like(starts)
        if light.mains:
            for part, times in ((1.0, 1), (0.25, 2)):
                w, phase = omega * times, self.drift_phase[times]
                wave = (np.sin(w * (starts + length) + phase) - np.sin(w * starts + phase)) / (w * length)
                factor = factor + light.mains * part * wave
        added = np.zeros_like(starts)
        if light.drift:
            t = starts / self.scene.last_ms
            wave = np.sin(2 * np.pi * 0.7 * t + self.drift_phase[3]) + 0.5 * np.sin(
                2 * np.pi * 2.3 * t + self.drift_phase[4])
            added = light.drift * light.reference * (0.5 + wave / 3)
        return factor, added

    def _panel_light(self, frames):
        starts = frames[:, None] * self.exposures.frame_ms + self.pair_ms[None, :]
        length, light = self.exposures.length_ms, self.panel_light
        band = self.pair_band[None, :]
        lamp = (light.integral(starts + length, band) - light.integral(starts, band)) / length
        return lamp, mean_over(light.backlight.integral, starts, length)

    def light(self, frames):
        """Light on the sensor without noise. Shape frames x channels x rows x columns, 32 bits."""
        scene = self.scene
        starts = self.exposures.starts(frames)
        factor, added = (a.astype(np.float32)[:, :, None] for a in self._room_light(starts))
        lamp, still = (a.astype(np.float32) for a in self._panel_light(frames))
        grey = self.room[None] * factor + added
        box = (slice(None),) + self.panel_box
        if np.ptp(still) == 0:
            grey[box] += self.still[self.panel_box] * still[0, 0]
        else:
            grey[box] += self.still[self.panel_box] * still[:, self.pair_of_pixel]
        panel = self.lamp[self.panel_box] * lamp[:, self.pair_of_pixel]
        reference = self._reference_light(starts).astype(np.float32)[:, :, None] * self.reference[None]
        channels = []
        for ours, theirs in zip(scene.light.reference_colour, scene.light.goggle_colour):
            channel = grey + np.float32(ours) * reference
            channel[box] += np.float32(theirs) * panel
            channels.append(channel)
            if not scene.light.coloured:
                break
        return np.stack(channels, axis=1)

    def _shaken(self, light, frames):
        """Whole pictures moved by parts of a pixel, as a hand does; even edges, so wrapping is mild."""
        t = frames * self.exposures.frame_ms / 1000.0
        phase, size = self.drift_phase, self.scene.camera.shake_px
        dx = size * (0.7 * np.sin(2 * np.pi * 1.3 * t + phase[0]) + 0.3 * np.sin(2 * np.pi * 5.1 * t + phase[1]))
        dy = size * (0.7 * np.sin(2 * np.pi * 0.9 * t + phase[2]) + 0.3 * np.sin(2 * np.pi * 6.7 * t + phase[5]))
        dx, dy = dx - dx[0] * (frames[0] == 0), dy
        fy = np.fft.fftfreq(self.height)[None, :, None]
        fx = np.fft.rfftfreq(self.width)[None, None, :]
        turn = np.exp(-2j * np.pi * (fy * dy[:, None, None] + fx * dx[:, None, None]))
        spectrum = np.fft.rfft2(light) * turn[:, None]
        return np.fft.irfft2(spectrum, s=(self.height, self.width))

    def _sensed(self, light, frames):
        """Adds black level and noise; clips at full scale."""
        camera = self.scene.camera
        if camera.shake_px:
            light = np.maximum(0.0, self._shaken(light, frames))
        if camera.gain_wander:
            t = frames / self.scene.frame_count
            gain = 1 + camera.gain_wander * np.sin(2 * np.pi * 1.7 * t + self.drift_phase[0])
            light = light * gain[:, None, None, None]
        light = light.astype(np.float32)
        noise = self.rng.standard_normal(light.shape, dtype=np.float32)
        noise *= np.sqrt(light / np.float32(camera.full_well) + np.float32(camera.read_noise ** 2))
        noise += light
        noise += np.float32(camera.black)
        return np.clip(noise, 0, 1, out=noise)

    def chunks(self):
        """Sensed light, chunk after chunk: frames x channels x rows x columns, 0 to 1."""
        for first in range(0, self.scene.frame_count, CHUNK):
            frames = np.arange(first, min(first + CHUNK, self.scene.frame_count))
            yield self._sensed(self.light(frames), frames)


def luma_codes(bits, full_range):
    """Table from light in steps of 1/16384 to luma codes."""
    signal = to_signal(np.linspace(0, 1, 16385))
    return np.rint(signal_to_luma(signal, bits, full_range)).astype(np.uint16 if bits > 8 else np.uint8)


def signal_to_luma(signal, bits, full_range):
    """Code values of luma, not yet rounded."""
    if full_range:
        return signal * (2 ** bits - 1)
    return (219 * signal + 16) * 2 ** (bits - 8)


def planes(light, bits, full_range, table):
    """Bytes of 4:2:0 frames from sensed light (1 or 3 channels, BT.709 matrix)."""
    count, channels, height, width = light.shape
    kind = table.dtype
    middle = 2 ** (bits - 1)
    if channels == 1:
        luma = table[(light[:, 0] * np.float32(16384) + np.float32(0.5)).astype(np.int16)]
        chroma = np.full((count, height * width // 2), middle, kind)
        return np.concatenate([luma.reshape(count, -1), chroma], axis=1).tobytes()
    red, green, blue = (to_signal(light[:, c]) for c in range(3))
    y = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    scale = (2 ** bits - 1) if full_range else 224 * 2 ** (bits - 8)
    parts = [np.rint(signal_to_luma(y, bits, full_range)).astype(kind).reshape(count, -1)]
    for difference in ((blue - y) / 1.8556, (red - y) / 1.5748):
        quarter = difference.reshape(count, height // 2, 2, width // 2, 2).mean(axis=(2, 4))
        codes = np.clip(np.rint(quarter * scale + middle), 0, 2 ** bits - 1)
        parts.append(codes.astype(kind).reshape(count, -1))
    return np.concatenate(parts, axis=1).tobytes()
