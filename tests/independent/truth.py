# SPDX-License-Identifier: GPL-3.0-or-later
"""What is true of a scene, from the light itself and the words of the definitions page.

First light is the 10 % departure of the goggle region's mean light; full frame is that of the panel's
last row. Over a pulsed backlight with a period of three camera frames or more it is the start of the
first pulse that differs by 10 % of the step; below that, the mean over one period (here centred).
Times are ms.
"""

import numpy as np

from link import BANDS

# Grid on which crossings are looked for; between its points they are straight.
REGION_STEP_MS, PANEL_STEP_MS = 0.01, 0.05
UNSURE = (0.04, 0.25)  # a step of this share of the lamp's is neither an answer nor none
HANGS_MS = 1.0        # crossings that differ by more are two pictures
JUMP = (0.08, 0.12)   # a first new picture of this share makes first light jump by a link frame


def first_crossing(times, values, old, final):
    """Moment at which values have made 10 % of the way from old to final; None where they do not."""
    done = (values - old) / (final - old)
    past = np.nonzero(done >= 0.1)[0]
    if len(past) == 0:
        return None
    k = past[0]
    if k == 0:
        return float(times[0])
    part = (0.1 - done[k - 1]) / (done[k] - done[k - 1])
    return float(times[k - 1] + part * (times[k] - times[k - 1]))


class Truth:
    """Answers for one region: a weight for every band of the panel."""

    def __init__(self, scene, switch, panel_light, weights):
        self.scene, self.light, self.switch = scene, panel_light, switch
        self.bands = np.nonzero(weights > 0)[0]
        self.weights = weights[self.bands] / weights.sum()
        self.rest_of_chain()

    def rest_of_chain(self):
        """Redraws, by picture shown: moments of arrival at each band and what was exposed when."""
        light = self.light
        self.arrive_ms = light.redraw_ms[:, None] + light.delays_ms[None, :]
        self.begin_ms = light.picture_start_ms[light.shown]
        self.end_ms = light.picture_end_ms[light.shown]
        self.period_ms = light.backlight.period_ms
        self.resolved = self.period_ms >= 3 * self.scene.camera.frame_ms

    def knowing(self, edge_ms):
        """First redraw, per band, whose picture was still being exposed after the edge."""
        return np.argmax(self.end_ms > edge_ms, axis=0)

    def _course(self, first_ms, last_ms, bands):
        """Moments and light per band: the light itself, pulse by pulse, or its mean over a period."""
        light, period = self.light, self.period_ms
        if period and self.resolved:
            pulses = light.backlight.on_ms
            # The pulse that is on at the first moment still belongs to the old ones.
            keep = (pulses > first_ms - 1.5 * period) & (pulses < last_ms)
            values = self._pulse_light()[keep][:, bands]
            return pulses[keep], values
        step = PANEL_STEP_MS if len(bands) == BANDS or period else REGION_STEP_MS
        times = np.arange(first_ms, last_ms, step)
        if period:
            ahead = light.integral(times[:, None] + period / 2, bands[None, :])
            return times, (ahead - light.integral(times[:, None] - period / 2, bands[None, :])) / period
        return times, light.response.level(times[:, None], bands[None, :])

    def _pulse_light(self):
        if not hasattr(self, "_pulses"):
            self._pulses = self.light.backlight.pulse_light(self.light.response)
        return self._pulses

    def _final(self, times, values, depart_ms, next_ms):
        """Mean from 2 to 5 new-frame intervals after the departure, or up to the next edge."""
        interval = self.scene.link.interval_ms
        first, last = depart_ms + 2 * interval, min(depart_ms + 5 * interval, next_ms)
        within = (times >= first) & (times < last)
        if last - first > 0.5 * interval and within.any():
            return values[within].mean(axis=0)
        within = (times >= depart_ms) & (times < next_ms + 0.5 * interval)
        if not within.any():
            return values[0]
        window = values[within]
        far = np.abs(window - values[0]).argmax(axis=0)
        return window[far] if window.ndim == 1 else window[far, np.arange(window.shape[1])]

    def answer(self, i, bands, weights):
        """Edge i seen by some bands: (crossing of their mean, crossings per band, share, unsure)."""
        edges = self.switch.edges_ms
        mine = self.knowing(edges[i])
        depart = self.arrive_ms[mine[bands], bands].min()
        if i + 1 < len(edges):
            following = self.knowing(edges[i + 1])
            next_ms = self.arrive_ms[following[bands], bands].min()
            merged = bool((following[bands] == mine[bands]).any())
        else:
            next_ms, merged = np.inf, False
        interval = self.scene.link.interval_ms
        last = min(depart + 8 * interval, next_ms + interval, self.scene.last_ms)
        times, values = self._course(depart - 0.1 - self.period_ms, last, bands)
        mean = values @ weights
        final = self._final(times, mean, depart, next_ms)
        full = self._full_step()
        share = abs(final - mean[0]) / full
        unsure = merged or UNSURE[0] < share < UNSURE[1] or self._hangs_on_level(times, mean, final)
        if share < 0.1:
            return None, None, share, unsure
        finals = self._final(times, values, depart, next_ms)
        each = []
        for b in range(len(bands)):
            if abs(finals[b] - values[0, b]) < 0.1 * full:
                each.append(None)
            else:
                each.append(first_crossing(times, values[:, b], values[0, b], finals[b]))
        return first_crossing(times, mean, mean[0], final), each, share, unsure

    @staticmethod
    def _hangs_on_level(times, mean, final):
        """Whether held pictures within the final level's window decide which picture is first light."""
        far = mean[np.abs(mean - mean[0]).argmax()]
        if far == mean[0] or final == mean[0]:
            return False
        ours, theirs = (first_crossing(times, mean, mean[0], level) for level in (final, far))
        return theirs is None or abs(ours - theirs) > HANGS_MS

    def _full_step(self):
        """Light of a fully lit lamp in the measure of `_course`."""
        if not self.period_ms:
            return 1.0
        width = self.scene.panel.strobe_width_ms
        if self.resolved:
            return width
        depth = self.scene.panel.strobe_depth
        return 1 - depth + depth * width / self.period_ms

    def _is_jump(self, i):
        """Whether a new picture of the answer shows just about 10 % of the lamp."""
        first = self.knowing(self.switch.edges_ms[i])[self.bands].min()
        content = self.light.content[self.light.shown]
        shares = content[first:first + 3, self.bands] @ self.weights
        shares = shares if self.switch.states[i + 1] else 1 - shares
        return bool(((shares > JUMP[0]) & (shares < JUMP[1])).any())

    def _first_pulse(self, i):
        """Start of the first pulse that differs by 10 %, also where pulses are not resolved."""
        if not self.period_ms:
            return None
        was, self.resolved = self.resolved, True
        crossing = self.answer(i, self.bands, self.weights)[0]
        self.resolved = was
        return None if crossing is None else self._pulse_at(crossing)

    def _pulse_at(self, crossing_ms):
        """The crossing of pulse lights is straight between pulses: the pulse that ends it."""
        pulses = self.light.backlight.on_ms
        return float(pulses[min(np.searchsorted(pulses, crossing_ms - 1e-9), len(pulses) - 1)])

    def presses(self, panel=True):
        """One entry per edge of the reference lamp, in order."""
        entries = []
        all_bands = np.arange(BANDS)
        for i, edge_ms in enumerate(self.switch.edges_ms):
            first, _, share, unsure = self.answer(i, self.bands, self.weights)
            if first is not None and self.period_ms and self.resolved:
                first = self._pulse_at(first)
            entry = {"edge": "on" if self.switch.states[i + 1] else "off",
                     "reference_ms": float(edge_ms), "first_light_ms": first,
                     "first_pulse_ms": self._first_pulse(i), "step_share": float(share),
                     "unsure": bool(unsure), "jump": self._is_jump(i),
                     "sweep_start_ms": None, "full_frame_ms": None}
            if panel and first is not None:
                each = self.answer(i, all_bands, np.full(BANDS, 1.0 / BANDS))[1]
                if each is not None and all(c is not None for c in each):
                    if self.period_ms and self.resolved:
                        each = [self._pulse_at(c) for c in each]
                    entry["sweep_start_ms"], entry["full_frame_ms"] = min(each), max(each)
            entries.append(entry)
        return entries
