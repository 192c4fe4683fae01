// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/sweep.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::panel {

namespace {

// Panels of 40 new pictures a second at the slowest: no scan takes longer.
constexpr double longestScanMs = 25.0;
constexpr double scanStepMs = 0.25;
constexpr std::size_t fewestBands = 3;
// A band further off than this tells nothing about the line.
constexpr double outlierMs = 3.0;

double missOf(double residualMs, std::optional<double> newFrameMs)
{
    double miss = std::abs(residualMs);
    if (newFrameMs) {
        miss = std::min(miss, std::abs(residualMs - *newFrameMs));
    }
    return std::min(miss, outlierMs);
}

struct PressMiss
{
    double startMs = 0.0;
    double miss = std::numeric_limits<double>::infinity();
};

// The start at which the bands of one press agree best, each band's own line being a candidate.
PressMiss bestStart(
    const PressBands& bands, double scanMs, bool forward, std::optional<double> newFrameMs)
{
    PressMiss best;
    for (const BandStart& candidate : bands) {
        const double start = candidate.startMs - scanMs * alongSweep(candidate, forward);
        double miss = 0.0;
        for (const BandStart& band : bands) {
            miss += missOf(band.startMs - scanMs * alongSweep(band, forward) - start, newFrameMs);
        }
        if (miss < best.miss - 1e-9) {
            best = {start, miss};
        }
    }
    return best;
}

struct Candidate
{
    double scanMs = 0.0;
    bool forward = true;
    double miss = std::numeric_limits<double>::infinity();
};

Candidate searchScan(const std::vector<PressBands>& presses, std::optional<double> newFrameMs)
{
    const double longest = std::min(longestScanMs, newFrameMs ? 1.1 * *newFrameMs : longestScanMs);
    Candidate best;
    for (const bool forward : {true, false}) {
        for (int i = 0; i * scanStepMs <= longest; ++i) {
            const double scan = i * scanStepMs;
            double miss = 0.0;
            for (const PressBands& bands : presses) {
                if (bands.size() >= fewestBands) {
                    miss += bestStart(bands, scan, forward, newFrameMs).miss;
                }
            }
            if (miss < best.miss - 1e-9) {
                best = {scan, forward, miss};
            }
        }
    }
    return best;
}

PressSweep assign(
    const PressBands& bands, double scanMs, bool forward, std::optional<double> newFrameMs)
{
    PressSweep sweep;
    sweep.startMs = bestStart(bands, scanMs, forward, newFrameMs).startMs;
    for (const BandStart& band : bands) {
        const double residual = band.startMs - scanMs * alongSweep(band, forward) - sweep.startMs;
        sweep.second.push_back(newFrameMs && std::abs(residual - *newFrameMs) < std::abs(residual));
    }
    // All in the second sweep is the first sweep of a start one interval later.
    if (!sweep.second.empty() && std::ranges::all_of(sweep.second, [](bool s) { return s; })) {
        sweep.startMs += *newFrameMs;
        sweep.second.assign(sweep.second.size(), false);
    }
    return sweep;
}

// Start time of a band with the second sweep's interval taken off.
double sweepTime(const BandStart& band, bool second, std::optional<double> newFrameMs)
{
    return band.startMs - (second ? *newFrameMs : 0.0);
}

// One pass of least squares for the common scan and each press's start, outliers left out.
void refine(const std::vector<PressBands>& presses, std::optional<double> newFrameMs, SweepFit& fit)
{
    double along = 0.0;
    double both = 0.0;
    for (std::size_t p = 0; p < presses.size(); ++p) {
        if (!fit.presses[p]) {
            continue;
        }
        const PressSweep& sweep = *fit.presses[p];
        double n = 0.0, q = 0.0, t = 0.0, qq = 0.0, qt = 0.0;
        for (std::size_t b = 0; b < presses[p].size(); ++b) {
            const double position = alongSweep(presses[p][b], fit.forward);
            const double time
                = sweepTime(presses[p][b], sweep.second[b], newFrameMs) - sweep.startMs;
            if (std::abs(time - fit.scanMs * position) > outlierMs) {
                continue;
            }
            n += 1.0;
            q += position;
            t += time;
            qq += position * position;
            qt += position * time;
        }
        if (n >= 3.0) {
            along += qq - q * q / n;
            both += qt - q * t / n;
        }
    }
    if (along > 0.0) {
        fit.scanMs = std::max(0.0, both / along);
    }
    std::vector<double> misses;
    for (std::size_t p = 0; p < presses.size(); ++p) {
        if (!fit.presses[p]) {
            continue;
        }
        PressSweep& sweep = *fit.presses[p];
        std::vector<double> starts;
        for (std::size_t b = 0; b < presses[p].size(); ++b) {
            starts.push_back(sweepTime(presses[p][b], sweep.second[b], newFrameMs)
                - fit.scanMs * alongSweep(presses[p][b], fit.forward));
        }
        const double middle = trace::medianOf(starts);
        double sum = 0.0;
        double count = 0.0;
        for (const double start : starts) {
            misses.push_back(std::abs(start - middle));
            if (std::abs(start - middle) < 0.5 * outlierMs) {
                sum += start;
                count += 1.0;
            }
        }
        sweep.startMs = count > 0.0 ? sum / count : middle;
    }
    fit.residualMs = trace::medianOf(misses);
}

} // namespace

double alongSweep(const BandStart& band, bool forward)
{
    return forward ? band.low : 1.0 - band.high;
}

std::optional<SweepFit> fitSweep(
    const std::vector<PressBands>& presses, std::optional<double> newFrameMs)
{
    const bool any = std::ranges::any_of(
        presses, [](const PressBands& bands) { return bands.size() >= fewestBands; });
    if (!any) {
        return std::nullopt;
    }
    const Candidate candidate = searchScan(presses, newFrameMs);
    SweepFit fit;
    fit.scanMs = candidate.scanMs;
    fit.forward = candidate.forward;
    for (int pass = 0; pass < 2; ++pass) {
        fit.presses.clear();
        for (const PressBands& bands : presses) {
            fit.presses.push_back(bands.size() >= fewestBands
                    ? std::optional<PressSweep>(assign(bands, fit.scanMs, fit.forward, newFrameMs))
                    : std::nullopt);
        }
        refine(presses, newFrameMs, fit);
    }
    return fit;
}

} // namespace twinlamp::panel
