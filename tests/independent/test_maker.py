#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The maker against closed forms: what it films has to be right before it may judge anything.

Tolerances: 1e-9 where both sides are closed forms, else the grid or the code step that is named.
"""

import math
import subprocess
import tempfile
import unittest
from dataclasses import replace
from pathlib import Path

import numpy as np

import camera
from footage_maker import Footage
from light import OnePole, PulsedBacklight, Switch
from link import BANDS
from scene import Camera, Layout, Light, Link, Panel, Scene, homography, on_panel
from score import Tally, judge, shortcomings
from classes import KINDS, scene_of


def quiet(**changes):
    """A scene with one press, nothing that wobbles, and a panel that follows at once."""
    link = Link(rate_hz=100.0, exposure_ms=4.0, readout_ms=0.0, phase_ms=1.0, delay_ms=9.0)
    panel = Panel(scan_ms=5.0, rise_ms=0.0, fall_ms=0.0)
    basic = Scene(edges_ms=(103.0, 203.0), last_ms=300.0, link=link, panel=panel)
    return replace(basic, **changes)


class LampLight(unittest.TestCase):
    def test_a_step_inside_an_exposure_leaves_the_share_after_it(self):
        start, length, step = 10.0, 2.0, 10.5
        share = Switch([step]).share(start, start + length)
        self.assertAlmostEqual(share, (start + length - step) / length, 9)

    def test_a_lamp_that_goes_out_leaves_the_share_before_it(self):
        self.assertAlmostEqual(Switch([10.5], lit_at_start=True).share(10.0, 12.0), 0.25, 9)

    def test_one_pole_makes_ten_per_cent_after_minus_tau_ln_nine_tenths(self):
        tau = 3.0
        pole = OnePole([20.0], [[1.0]], [0.0], tau, 7.0, before=[0.0])
        self.assertAlmostEqual(float(pole.level(20.0 - tau * math.log(0.9), 0)), 0.1, 9)

    def test_falling_has_its_own_time_constant(self):
        pole = OnePole([20.0], [[0.0]], [0.0], 3.0, 7.0, before=[1.0])
        self.assertAlmostEqual(float(pole.level(27.0, 0)), math.exp(-1), 9)

    def test_integral_of_one_pole_is_its_area(self):
        pole = OnePole([20.0, 25.0], [[1.0], [0.2]], [0.0], 3.0, 2.0, before=[0.0])
        t = np.linspace(15, 40, 2_000_001)
        area = np.trapz(pole.level(t, 0), t)
        exact = pole.integral(40.0, 0) - pole.integral(15.0, 0)
        self.assertAlmostEqual(float(exact), area, 5)  # a jump of slope on a grid of 12.5 ns

    def test_integral_behind_a_backlight_is_the_area_of_its_pulses(self):
        pole = OnePole([20.0], [[1.0, 1.0]], [0.0, 3.3], 3.0, 2.0, before=[0.0, 0.0])
        backlight = PulsedBacklight(2.5, 0.7, 0.3, 0.8, 100.0)
        t = np.linspace(15, 40, 1_000_001)
        area = np.trapz(backlight.level(t) * pole.level(t, 1), t)
        exact = backlight.of(pole, 40.0, 1) - backlight.of(pole, 15.0, 1)
        self.assertAlmostEqual(float(exact), area, 3)  # twenty jumps on a grid of 25 ns, 0.5 ppm each


class CameraModel(unittest.TestCase):
    def test_transfer_curve_has_the_published_value(self):
        # Value at 0.18: as tabled from BT.709-6 item 1.2 with its printed constants, which differ by 2e-4.
        self.assertAlmostEqual(float(camera.to_signal(np.array(0.18))), 0.409007728864, delta=2.5e-4)
        self.assertAlmostEqual(float(camera.to_signal(np.array(0.01))), 0.045, 9)
        self.assertAlmostEqual(float(camera.to_signal(np.array(1.0))), 1.0, 9)

    def test_luma_codes_span_the_narrow_range(self):
        self.assertEqual((camera.luma_codes(8, False)[0], camera.luma_codes(8, False)[-1]), (16, 235))
        self.assertEqual((camera.luma_codes(10, False)[0], camera.luma_codes(10, False)[-1]), (64, 940))

    def test_rows_are_exposed_one_after_the_other(self):
        exposures = camera.Exposures(Camera(rate_hz=500.0, line_us=10.0), 100)
        starts = exposures.starts(np.array([3]))
        self.assertAlmostEqual(starts[0, 0], 6.0, 9)
        self.assertAlmostEqual(starts[0, 50], 6.5, 9)

    def test_a_lamp_frame_holds_the_share_of_its_rows(self):
        scene = quiet(camera=Camera(rate_hz=500.0, exposure_share=0.5, line_us=10.0))
        footage = Footage(scene)
        filming = camera.Filming(scene, footage.masks, footage.switch, footage.panel_light)
        frame = 51  # exposes row y from 102 + y / 100 ms for 1 ms; the lamp goes on at 103
        light = filming.light(np.array([frame, frame + 5]))[:, 0]
        for row in (90, 100):
            share = (102.0 + row * 0.01 + 1.0 - 103.0) / 1.0
            at = (row, 40)
            still = filming.room[at]
            self.assertAlmostEqual((light[0][at] - still) / (light[1][at] - still), share, 5)  # 32 bits

    def test_mains_light_averages_out_over_whole_periods(self):
        light = Light(mains=0.4, room=0.1)
        scene = quiet(light=light, camera=Camera(rate_hz=400.0, exposure_share=1.0))
        footage = Footage(scene)
        filming = camera.Filming(scene, footage.masks, footage.switch, footage.panel_light)
        frames = filming.light(np.arange(8))[:, 0]  # 20 ms: two periods of 100 Hz
        self.assertAlmostEqual(frames[:, 5, 5].mean(), filming.room[5, 5], 6)  # 32 bits
        self.assertGreater(np.ptp(frames[:, 5, 5]), 0.01)

    def test_drawing_shifts_by_parts_of_a_pixel(self):
        scene = quiet(camera=Camera(shake_px=1.0))
        footage = Footage(scene)
        filming = camera.Filming(scene, footage.masks, footage.switch, footage.panel_light)
        frames = np.arange(0, 150, 30)
        still = filming.light(frames)
        moved = filming._shaken(still, frames)
        self.assertAlmostEqual(still.sum() / moved.sum(), 1.0, 6)
        self.assertGreater(np.abs(still - moved).max(), 0.01)


class PanelModel(unittest.TestCase):
    def test_first_light_of_a_panel_that_follows_at_once_is_the_arrival(self):
        # Pictures are exposed from 1 + 10 n ms for 4 ms; the lamp at 103 lights half of the one from 101.
        # It is ready at 105 + 9 and reaches the middle row half a scan later.
        scene = quiet()
        press = Footage(scene).truth()["presses"][0]
        middle = Footage(scene).band_weights(Footage(scene).regions()["goggle"])
        rows = np.repeat(np.linspace(0, 1, BANDS), np.rint(1e5 * middle / middle.sum()).astype(int))
        # The first picture is lit by half, the whole step follows: 10 % is when a fifth of the light has come.
        expected = 114.0 + 5.0 * np.quantile(rows, 0.2)
        self.assertAlmostEqual(press["first_light_ms"], expected, delta=5.0 / BANDS)
        self.assertAlmostEqual(press["sweep_start_ms"], 114.0, delta=0.05)
        self.assertAlmostEqual(press["full_frame_ms"], 119.0, delta=0.05)

    def test_a_slow_panel_is_later_by_its_response(self):
        tau = 4.0
        slow = quiet(panel=Panel(scan_ms=0.0, rise_ms=tau, fall_ms=tau), edges_ms=(100.0, 200.0))
        press = Footage(slow).truth()["presses"][0]
        self.assertAlmostEqual(press["first_light_ms"], 114.0 - tau * math.log(0.9), delta=0.01)

    def test_an_edge_in_the_gap_between_exposures_waits_for_the_next_picture(self):
        press = Footage(quiet(edges_ms=(106.0, 206.0))).truth()["presses"][0]
        self.assertAlmostEqual(press["sweep_start_ms"], 124.0, delta=0.05)

    def test_a_press_in_the_gap_has_no_answer(self):
        presses = Footage(quiet(edges_ms=(106.0, 109.0))).truth()["presses"]
        self.assertIsNone(presses[0]["first_light_ms"])

    def test_bottom_up_starts_below(self):
        scene = quiet(panel=Panel(scan_ms=5.0, bottom_up=True), layout=replace(Layout(), lamp=(0.5, 0.8)))
        press = Footage(scene).truth()["presses"][0]
        self.assertLess(press["first_light_ms"], 114.0 + 2.5)

    def test_resolved_pulses_give_the_start_of_the_first_that_differs(self):
        panel = Panel(scan_ms=0.0, rise_ms=0.0, fall_ms=0.0, strobe_ms=10.0, strobe_width_ms=1.0,
                      strobe_phase_ms=7.0)
        scene = quiet(panel=panel, camera=Camera(rate_hz=1000.0))
        press = Footage(scene).truth()["presses"][0]
        self.assertAlmostEqual(press["first_light_ms"], 117.0, 6)  # first pulse after 114

    def test_corners_become_the_unit_square(self):
        corners = ((12, 7), (90, 15), (84, 70), (5, 60))
        matrix = homography(corners)
        for corner, expected in zip(corners, ((0, 0), (1, 0), (1, 1), (0, 1))):
            self.assertTrue(np.allclose(on_panel(matrix, *corner), expected, atol=1e-9))


    def test_a_panel_pixel_is_the_sum_of_its_light_over_the_exposure(self):
        # The plain sum over 20000 moments against the closed form; strobe, rolling shutter, bottom up.
        panel = Panel(scan_ms=5.0, bottom_up=True, rise_ms=1.1, fall_ms=0.7, strobe_ms=3.1, strobe_width_ms=0.9)
        scene = quiet(panel=panel, camera=Camera(rate_hz=240.0, line_us=7.0))
        footage = Footage(scene)
        filming = camera.Filming(scene, footage.masks, footage.switch, footage.panel_light)
        frames = np.arange(26, 32)
        light, masks, seen = filming.light(frames)[:, 0], footage.masks, footage.panel_light
        for y, x in ((60, 120), (96, 168), (140, 200)):
            for frame, got in zip(frames, light[:, y, x]):
                start = frame * scene.camera.frame_ms + y * 0.007
                t = start + (np.arange(20000) + 0.5) / 20000 * scene.camera.exposure_ms
                gate = seen.backlight.level(t)
                lamp = (gate * seen.response.level(t, masks.band[y, x])).mean()
                expected = masks.room[y, x] + masks.panel_still[y, x] * gate.mean() + masks.panel_lamp[y, x] * lamp
                self.assertAlmostEqual(float(got), expected, 4)  # jumps on a grid of 0.17 us


class Clips(unittest.TestCase):
    def decoded(self, clip, width, height):
        """Luma of every frame as players show it, turned where flagged."""
        raw = subprocess.run(["ffmpeg", "-v", "error", "-i", str(clip), "-f", "rawvideo", "-pix_fmt", "yuv420p",
                              "-"], check=True, capture_output=True).stdout
        frames = np.frombuffer(raw, np.uint8).reshape(-1, width * height * 3 // 2)
        return frames[:, :width * height].reshape(-1, height, width)

    def test_a_turned_clip_is_shown_upright_with_every_frame(self):
        layout = replace(Layout(), width=192, height=256, reference=(90.0, 40.0),
                         corners=((26, 96), (166, 96), (166, 216), (26, 216)))
        scene = quiet(layout=layout, camera=Camera(rate_hz=240.0, turned=True))
        with tempfile.TemporaryDirectory() as folder:
            clip = Path(folder) / "turned.mp4"
            footage = Footage(scene)
            footage.write(clip)
            shown = self.decoded(clip, 192, 256)
            self.assertEqual(len(shown), scene.frame_count)
            lit = int(150.0 / scene.camera.frame_ms)
            light = scene.light.reference + scene.camera.black
            expected = 219 * float(camera.to_signal(np.array(light))) + 16
            # Room and bloom add a few codes; coding costs one or two.
            self.assertAlmostEqual(shown[lit, 37:44, 87:94].mean(), expected, delta=8)
            self.assertTrue(Path(f"{clip}.truth.json").exists())

    def test_colours_survive_coding(self):
        scene = quiet(light=Light(reference_colour=(1.0, 0.0, 0.0), room=0.0, bloom=0.0),
                      camera=Camera(rate_hz=240.0, black=0.0))
        with tempfile.TemporaryDirectory() as folder:
            clip = Path(folder) / "red.mp4"
            Footage(scene).write(clip)
            shown = self.decoded(clip, 256, 192)
            signal = float(camera.to_signal(np.array(scene.light.reference)))
            expected = 219 * 0.2126 * signal + 16
            self.assertAlmostEqual(shown[36, 93:100, 37:44].mean(), expected, delta=4)  # noise in the dark channels, coding


class Judging(unittest.TestCase):
    def judged(self, latency_ms, half_ms, flags=(), reference_ms=100.0):
        """Tally of one press whose true latency is 20 ms."""
        truth = {"capture_rate_hz": 500.0, "new_frame_ms": 10.0, "presses": [
            {"edge": "on", "reference_ms": 100.0, "first_light_ms": 120.0, "first_pulse_ms": None,
             "unsure": False, "jump": False, "full_frame_ms": None}]}
        entry = {"edge": "on", "reference_ms": reference_ms, "latency_ms": latency_ms, "accepted": True,
                 "uncertainty_ms": half_ms, "full_frame_ms": None, "flags": list(flags)}
        tally = Tally()
        judge(tally, "clip", {"presses": [entry]}, truth)
        return tally

    def test_a_true_answer_passes(self):
        self.assertEqual(shortcomings(KINDS[0], self.judged(20.1, 0.2)), [])

    def test_a_wrong_answer_with_a_small_interval_fails(self):
        self.assertTrue(shortcomings(KINDS[0], self.judged(20.5, 0.2)))

    def test_an_edge_elsewhere_is_missed_and_invented(self):
        tally = self.judged(20.0, 0.2, reference_ms=150.0)
        self.assertEqual((tally.missed, tally.invented), (1, 1))

    def test_no_answer_where_there_was_one_is_counted(self):
        self.assertEqual(self.judged(None, None, ["no-response"]).false_no_response, 1)

    def test_the_same_seed_gives_the_same_scene(self):
        self.assertEqual(scene_of(KINDS[0], 3), scene_of(KINDS[0], 3))
        self.assertNotEqual(scene_of(KINDS[0], 3).edges_ms, scene_of(KINDS[0], 4).edges_ms)


if __name__ == "__main__":
    unittest.main()
