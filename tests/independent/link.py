# SPDX-License-Identifier: GPL-3.0-or-later
"""The link under test: its camera, the way to the goggle, and the goggle's panel.

Times are ms. A row of the link's picture is a share of its height, 0 the top row, 1 the bottom row.
"""

from dataclasses import dataclass

import numpy as np

from light import OnePole, PulsedBacklight, SteadyBacklight

BANDS = 128  # rows of the panel that are told apart, both edges among them


@dataclass
class Link:
    """From light in front of the link's camera to a picture that is ready to be shown."""

    rate_hz: float = 90.0
    exposure_ms: float = 6.0
    readout_ms: float = 6.0     # from the exposure of the top row to that of the bottom row
    phase_ms: float = 0.0
    delay_ms: float = 12.0      # from the end of the top row's exposure to its place on the panel
    jitter_ms: float = 0.0      # standard deviation
    late_share: float = 0.0     # pictures that take up to two link frames longer
    lost_share: float = 0.0
    gain: float = 1.0           # above 1 the lamp saturates the link's camera

    @property
    def interval_ms(self):
        """Frame interval of the link's camera."""
        return 1000.0 / self.rate_hz


@dataclass
class Panel:
    """How the goggle shows pictures."""

    scan_ms: float = 7.0
    bottom_up: bool = False
    rise_ms: float = 0.4
    fall_ms: float = 0.6
    overdrive: float = 0.0      # share of a change that one redraw goes too far
    own_rate_hz: float = 0.0    # 0: redraws when a picture arrives
    own_phase_ms: float = 0.0
    strobe_ms: float = 0.0      # period of the backlight, 0: steady
    strobe_width_ms: float = 0.0
    strobe_phase_ms: float = 0.0
    strobe_depth: float = 1.0


class PanelLight:
    """What the panel shows of the lamp: pictures, redraws, and the light of each band."""

    def __init__(self, switch, link, panel, last_ms, rng):
        self.link, self.panel = link, panel
        self.rows = np.linspace(0.0, 1.0, BANDS)
        place = 1 - self.rows if panel.bottom_up else self.rows
        self.delays_ms = place * panel.scan_ms
        self._take_pictures(switch, last_ms, rng)
        self._redraw(last_ms)
        shown_ms = self.redraw_ms[:, None] + self.delays_ms[None, :]
        if (shown_ms[1:] < self.picture_end_ms[self.shown[1:]]).any():
            raise ValueError("The panel shows rows before they are exposed; make the link's delay longer.")
        if panel.strobe_ms:
            self.backlight = PulsedBacklight(panel.strobe_ms, panel.strobe_width_ms,
                                             panel.strobe_phase_ms, panel.strobe_depth, last_ms)
        else:
            self.backlight = SteadyBacklight()

    def _take_pictures(self, switch, last_ms, rng):
        link = self.link
        interval = link.interval_ms
        count = int((last_ms + 400.0) / interval) + 1
        starts = link.phase_ms - 300.0 + interval * np.arange(count)
        self.picture_start_ms = starts[:, None] + self.rows[None, :] * link.readout_ms
        self.picture_end_ms = self.picture_start_ms + link.exposure_ms
        share = switch.share(self.picture_start_ms, self.picture_end_ms)
        self.content = np.minimum(1.0, link.gain * share)
        ready = starts + link.exposure_ms + link.delay_ms
        ready = ready + link.jitter_ms * rng.standard_normal(count)
        late = rng.random(count) < link.late_share
        ready = ready + late * rng.uniform(0.3, 2.0, count) * interval
        ready[rng.random(count) < link.lost_share] = np.inf
        ready[0] = starts[0] + link.exposure_ms + link.delay_ms
        self.ready_ms = ready

    def _redraw(self, last_ms):
        panel = self.panel
        if panel.own_rate_hz:
            interval = 1000.0 / panel.own_rate_hz
            first = -200.0 + (panel.own_phase_ms + 200.0) % interval
            starts = np.arange(first, last_ms + 100.0, interval)
            arrived = self.ready_ms[None, :] <= starts[:, None]
            newest = np.where(arrived, np.arange(len(self.ready_ms))[None, :], 0)
            shown = newest.max(axis=1)
        else:
            starts, shown = self._redraws_on_arrival()
        self.redraw_ms, self.shown = starts, shown
        targets = self.content[shown]
        if panel.overdrive:
            change = np.diff(targets, axis=0, prepend=targets[:1])
            targets = np.maximum(0.0, targets + panel.overdrive * change)
        self.response = OnePole(starts, targets, self.delays_ms, panel.rise_ms, panel.fall_ms)

    def _redraws_on_arrival(self):
        """A picture that an overtaking one has made old is dropped; redraws do not overlap."""
        starts, shown = [], []
        busy_until = -1e9
        order = np.argsort(self.ready_ms, kind="stable")
        for n in order[np.isfinite(self.ready_ms[order])]:
            if shown and n < shown[-1]:
                continue
            begin = max(self.ready_ms[n], busy_until)
            starts.append(begin)
            shown.append(n)
            busy_until = begin + 0.6 * self.link.interval_ms
        return np.array(starts), np.array(shown)

    def integral(self, t_ms, band):
        """Integral of the lamp's light on the panel, backlight included. Unit: ms."""
        return self.backlight.of(self.response, t_ms, band)
