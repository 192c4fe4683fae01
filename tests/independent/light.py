# SPDX-License-Identifier: GPL-3.0-or-later
"""Light over time, in closed form: switches, one-pole responses, backlights.

Times are milliseconds of real time, light is a share of the layer's own full amplitude. Every
course of light here is known by its integral, so that an exposure of any length is exact: the mean
over [a, b] is (integral(b) - integral(a)) / (b - a).
"""

import numpy as np

# A moment before everything: the lamps and the panel have been in their first state since then.
LONG_AGO_MS = -1e5


class Switch:
    """A lamp that follows its switch at once."""

    def __init__(self, edges_ms, lit_at_start=False):
        """edges_ms: rising moments at which the lamp changes. Shape N. Unit: ms."""
        self.edges_ms = np.asarray(edges_ms, float)
        self.lit_at_start = bool(lit_at_start)
        first = 1.0 if lit_at_start else 0.0
        self.states = (first + np.arange(len(self.edges_ms) + 1)) % 2
        knots = np.concatenate([[LONG_AGO_MS], self.edges_ms])
        spans = np.diff(knots) * self.states[:-1]
        self._knots = knots
        self._sums = np.concatenate([[0.0], np.cumsum(spans)])

    def level(self, t_ms):
        """0 or 1 at each of the moments."""
        return self.states[np.searchsorted(self.edges_ms, t_ms, side="right")]

    def integral(self, t_ms):
        """Time lit since long ago. Unit: ms."""
        t_ms = np.asarray(t_ms, float)
        at = np.clip(np.searchsorted(self._knots, t_ms, side="right") - 1, 0, None)
        return self._sums[at] + self.states[at] * (t_ms - self._knots[at])

    def share(self, first_ms, last_ms):
        """Mean light over [first, last)."""
        return (self.integral(last_ms) - self.integral(first_ms)) / (last_ms - first_ms)


class OnePole:
    """Bands that approach a staircase of targets, each exponentially.

    Band v sees target j from starts_ms[j] + delays_ms[v] on. Rising and falling may have time
    constants of their own; 0 follows at once.
    """

    def __init__(self, starts_ms, targets, delays_ms, rise_ms, fall_ms, before=None):
        """starts_ms: J, rising. targets: J x V. delays_ms: V. before: V, the first target if not given."""
        targets = np.asarray(targets, float)
        before = targets[0] if before is None else np.asarray(before, float)
        self.starts_ms = np.concatenate([[LONG_AGO_MS], starts_ms])
        self.targets = np.concatenate([before[None], targets])
        self.delays_ms = np.asarray(delays_ms, float)
        self.states = np.empty_like(self.targets)
        self.sums = np.zeros_like(self.targets)
        self.taus = np.empty_like(self.targets)
        spans = np.diff(self.starts_ms)
        state = self.targets[0].copy()
        for j, target in enumerate(self.targets):
            self.states[j] = state
            self.taus[j] = np.maximum(np.where(target > state, rise_ms, fall_ms), 1e-6)
            if j < len(spans):
                left = np.exp(-spans[j] / self.taus[j])
                gap = state - target
                self.sums[j + 1] = self.sums[j] + target * spans[j] + gap * self.taus[j] * (1 - left)
                state = target + gap * left

    def _segment(self, t_ms, band):
        local = np.asarray(t_ms, float) - self.delays_ms[band]
        j = np.clip(np.searchsorted(self.starts_ms, local, side="right") - 1, 0, None)
        return j, local - self.starts_ms[j]

    def level(self, t_ms, band):
        """Light of the bands at the moments; the two broadcast."""
        j, since = self._segment(t_ms, band)
        target = self.targets[j, band]
        return target + (self.states[j, band] - target) * np.exp(-since / self.taus[j, band])

    def integral(self, t_ms, band):
        """Integral of level since long ago. Unit: ms."""
        j, since = self._segment(t_ms, band)
        target, tau = self.targets[j, band], self.taus[j, band]
        gap = self.states[j, band] - target
        return self.sums[j, band] + target * since + gap * tau * (1 - np.exp(-since / tau))


class SteadyBacklight:
    """A panel that glows all the time."""

    period_ms = 0.0

    def level(self, t_ms):
        """1 at each moment."""
        return np.ones_like(np.asarray(t_ms, float))

    def integral(self, t_ms):
        """Unit: ms."""
        return np.asarray(t_ms, float)

    def of(self, response, t_ms, band):
        """Integral of backlight x response. Unit: ms."""
        return response.integral(t_ms, band)


class PulsedBacklight:
    """Pulses of one width at one period; between them (1 - depth) of the light remains."""

    def __init__(self, period_ms, width_ms, phase_ms, depth, last_ms):
        """last_ms: pulses are laid out from a little before 0 to this moment."""
        self.period_ms = period_ms
        self.depth = depth
        first = -200.0 + (phase_ms + 200.0) % period_ms
        self.on_ms = np.arange(first, last_ms + 200.0, period_ms)
        self.off_ms = self.on_ms + width_ms
        self._sums = {}

    def level(self, t_ms):
        """Light of the backlight at each moment, 1 in a pulse."""
        p = np.clip(np.searchsorted(self.on_ms, t_ms, side="right") - 1, 0, None)
        lit = (t_ms >= self.on_ms[p]) & (t_ms < self.off_ms[p])
        return 1 - self.depth + self.depth * lit

    def integral(self, t_ms):
        """Unit: ms."""
        t_ms = np.asarray(t_ms, float)
        p = np.clip(np.searchsorted(self.on_ms, t_ms, side="right") - 1, 0, None)
        width = self.off_ms[0] - self.on_ms[0]
        lit = p * width + np.clip(t_ms - self.on_ms[p], 0, width)
        return (1 - self.depth) * t_ms + self.depth * lit

    def pulse_light(self, response):
        """Light of each pulse in each band. Shape pulses x bands. Unit: ms."""
        bands = np.arange(len(response.delays_ms))[None, :]
        ends = response.integral(self.off_ms[:, None], bands)
        return ends - response.integral(self.on_ms[:, None], bands)

    def of(self, response, t_ms, band):
        """Integral of backlight x response. Unit: ms."""
        if id(response) not in self._sums:
            pulses = self.pulse_light(response)
            self._sums[id(response)] = np.concatenate(
                [np.zeros((1, pulses.shape[1])), np.cumsum(pulses, axis=0)])
        before = self._sums[id(response)]
        t_ms, band = np.broadcast_arrays(np.asarray(t_ms, float), band)
        p = np.clip(np.searchsorted(self.on_ms, t_ms, side="right") - 1, 0, None)
        now = np.clip(t_ms, self.on_ms[p], self.off_ms[p])
        lit = before[p, band] + response.integral(now, band)
        lit -= response.integral(self.on_ms[p], band)
        return (1 - self.depth) * response.integral(t_ms, band) + self.depth * lit
