// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/band_shares.h"

#include "core/onset/step_parts.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace twinlamp::measure {

namespace {

// A band's own shape for both edge kinds, and when the sweep enters it.
struct BandTables
{
    onset::ShapeTable on;
    onset::ShapeTable off;
    double entersMs = 0.0; ///< after the start of the sweep, as the camera's rows see it

    [[nodiscard]] const onset::ShapeTable& of(Edge edge) const
    {
        return edge == Edge::On ? on : off;
    }
};

BandTables tablesOf(const PressMaterial& m, const panel::Band& band, const panel::SweepRows& sweep)
{
    const double ramp = sweep.scanMs * (band.high - band.low);
    const double seen = seenRampMs(band, ramp, sweep.forward ? 1 : -1);
    const double exposure = m.goggle.camera.exposureMs;
    const double along = sweep.forward ? band.low : 1.0 - band.high;
    return {onset::ShapeTable(
                {seen, m.answers.onShape.tauMs, {}, m.answers.onShape.overshoot}, exposure),
        onset::ShapeTable(
            {seen, m.answers.offShape.tauMs, {}, m.answers.offShape.overshoot}, exposure),
        sweep.scanMs * along + 0.5 * (ramp - seen)};
}

} // namespace

std::vector<panel::PressShares> bandShares(const PressMaterial& m,
    const std::vector<panel::Band>& bands, std::span<const PanelWindow> presses,
    const panel::SweepRows& sweep)
{
    std::vector<panel::PressShares> shares(presses.size());
    for (std::size_t p = 0; p < presses.size(); ++p) {
        shares[p].startMs = presses[p].startMs;
    }
    for (const panel::Band& band : bands) {
        const BandTables tables = tablesOf(m, band, sweep);
        const onset::TimedTrace trace {band.light, m.input.startMs, m.goggle.camera, band.rows};
        for (std::size_t p = 0; p < presses.size(); ++p) {
            const double enters = presses[p].startMs + tables.entersMs;
            const std::array starts {enters - sweep.newFrameMs, enters, enters + sweep.newFrameMs};
            const onset::AnswerWindow& window = presses[p].window;
            const auto fit = fitStepParts(trace, window, tables.of(window.edge), starts);
            constexpr double leastNoises = 4.0;
            if (fit && std::abs(fit->step()) > leastNoises * fit->noise) {
                const double first = fit->parts[0] / fit->step();
                shares[p].bands.push_back(
                    {0.5 * (band.low + band.high), {first, first + fit->parts[1] / fit->step()}});
            }
        }
    }
    return shares;
}

} // namespace twinlamp::measure
