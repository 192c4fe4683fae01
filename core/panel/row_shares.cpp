// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/panel/row_shares.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace twinlamp::panel {

namespace {

// Share of its step at which a row counts as lit (the trade's 10 %).
constexpr double litShare = 0.1;
// A band further off than this tells nothing about the line.
constexpr double mostMiss = 0.3;

double madeAt(const RowShares& rows, double atStart, double position, int picture)
{
    return std::clamp(atStart + rows.slope * position + rows.perPicture * picture, 0.0, 1.0);
}

double missOf(const PressShares& press, const RowShares& rows, double atStart)
{
    double sum = 0.0;
    for (const BandShare& band : press.bands) {
        for (const int picture : {-1, 0}) {
            const double model = madeAt(rows, atStart, band.position, picture);
            const double miss = band.made[static_cast<std::size_t>(picture + 1)] - model;
            sum += std::min(std::abs(miss), mostMiss);
        }
    }
    return sum;
}

struct PressFit
{
    double atStart = 0.0;
    double miss = std::numeric_limits<double>::infinity();
};

PressFit fitPress(const PressShares& press, const RowShares& rows)
{
    // From all rows dark in both pictures to all of them lit in both.
    const double low = -std::max(0.0, rows.slope) - 0.1;
    const double high = 1.1 + rows.perPicture - std::min(0.0, rows.slope);
    PressFit best;
    const auto tryAt = [&](double atStart) {
        const double miss = missOf(press, rows, atStart);
        if (miss < best.miss) {
            best = {atStart, miss};
        }
    };
    constexpr double step = 0.05;
    const auto steps = static_cast<int>((high - low) / step);
    for (int i = 0; i <= steps; ++i) {
        tryAt(low + i * step);
    }
    double reach = step;
    constexpr int halvings = 5;
    for (int i = 0; i < halvings; ++i) {
        reach *= 0.5;
        const double middle = best.atStart;
        tryAt(middle - reach);
        tryAt(middle + reach);
    }
    return best;
}

double missOf(const std::vector<PressShares>& presses, const RowShares& rows)
{
    double sum = 0.0;
    for (const PressShares& press : presses) {
        sum += press.bands.empty() ? 0.0 : fitPress(press, rows).miss;
    }
    return sum;
}

// Some presses, spread over the clip: more of them make slope and interval no better.
std::vector<PressShares> someOf(const std::vector<PressShares>& presses)
{
    constexpr std::size_t most = 24;
    std::vector<PressShares> some;
    const std::size_t count = std::min(most, presses.size());
    for (std::size_t i = 0; i < count; ++i) {
        some.push_back(presses[i * presses.size() / count]);
    }
    return some;
}

RowShares bestRows(const std::vector<PressShares>& presses)
{
    RowShares best;
    double least = std::numeric_limits<double>::infinity();
    const auto tryRows = [&](double slope, double perPicture) {
        const RowShares rows {slope, std::max(1.0, perPicture), {}, 0.0};
        const double miss = missOf(presses, rows);
        if (miss < least - 1e-9) {
            least = miss;
            best = rows;
        }
    };
    for (const double perPicture : {1.0, 1.3, 1.8, 2.5, 4.0, 7.0}) {
        for (const double slope : {0.0, 0.25, 0.5, 0.8, 1.2, 1.8, 2.6, 4.0, 6.0}) {
            // Rows are read within one interval.
            if (slope > perPicture) {
                continue;
            }
            tryRows(slope, perPicture);
            tryRows(-slope, perPicture);
        }
    }
    double slopeReach = 0.3;
    double pictureReach = 0.4;
    constexpr int refinements = 7;
    for (int i = 0; i < refinements; ++i) {
        const RowShares from = best;
        const double scale = std::max(0.5, std::abs(from.slope));
        for (const double s : {-1.0, 0.0, 1.0}) {
            for (const double p : {-1.0, 0.0, 1.0}) {
                tryRows(from.slope + s * slopeReach * scale,
                    from.perPicture + p * pictureReach * from.perPicture);
            }
        }
        slopeReach *= 0.6;
        pictureReach *= 0.6;
    }
    return best;
}

// Time from the arrival of a picture until a row has made a tenth of its step; infinite where that
// picture does not bring it there.
double responseMs(double before, double after, double tauMs)
{
    if (after <= litShare) {
        return std::numeric_limits<double>::infinity();
    }
    const double part = std::max(0.0, (litShare - before) / (after - before));
    return -tauMs * std::log1p(-std::min(part, 0.999));
}

double litMs(
    const RowShares& rows, double atStart, double position, double startMs, const SweepRows& sweep)
{
    const double along = sweep.forward ? position : 1.0 - position;
    double before = 0.0;
    for (const int picture : {-1, 0, 1}) {
        const double after = picture == 1 ? 1.0 : madeAt(rows, atStart, position, picture);
        const double response = before >= litShare ? 0.0 : responseMs(before, after, sweep.tauMs);
        const double arrival = startMs + sweep.newFrameMs * picture + sweep.scanMs * along;
        // What a slow response does not reach within an interval the next picture brings.
        if (response < sweep.newFrameMs) {
            return arrival + response;
        }
        before = std::min(after, litShare);
    }
    return startMs + sweep.newFrameMs + sweep.scanMs * along;
}

} // namespace

std::optional<RowShares> fitRowShares(const std::vector<PressShares>& presses)
{
    std::vector<PressShares> telling;
    std::ranges::copy_if(presses, std::back_inserter(telling),
        [](const PressShares& press) { return !press.bands.empty(); });
    if (telling.empty()) {
        return std::nullopt;
    }
    RowShares rows = bestRows(someOf(telling));
    std::vector<double> misses;
    for (const PressShares& press : presses) {
        const PressFit fit = press.bands.empty() ? PressFit {} : fitPress(press, rows);
        rows.atStart.push_back(fit.atStart);
        if (!press.bands.empty()) {
            misses.push_back(fit.miss / (2.0 * static_cast<double>(press.bands.size())));
        }
    }
    rows.residual = trace::medianOf(misses);
    return rows;
}

SweepSpan rowSpan(const RowShares& rows, std::size_t press, double startMs, const SweepRows& sweep)
{
    // Fine enough for a panel's rows: a hundredth of the scan is below a tenth of a frame.
    constexpr int positions = 128;
    SweepSpan span {
        std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (int i = 0; i <= positions; ++i) {
        const double lit
            = litMs(rows, rows.atStart[press], static_cast<double>(i) / positions, startMs, sweep);
        span.firstMs = std::min(span.firstMs, lit);
        span.lastMs = std::max(span.lastMs, lit);
    }
    return span;
}

} // namespace twinlamp::panel
