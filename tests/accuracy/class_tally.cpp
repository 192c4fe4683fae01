// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/accuracy/class_tally.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::accuracy {

namespace {

double rootMeanSquare(const std::vector<double>& values)
{
    const double sum = std::inner_product(values.begin(), values.end(), values.begin(), 0.0);
    return values.empty() ? 0.0 : std::sqrt(sum / static_cast<double>(values.size()));
}

double median(std::vector<double> values)
{
    if (values.empty()) {
        return 0.0;
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::ranges::nth_element(values, middle);
    return *middle;
}

} // namespace

void ClassTally::add(const ClipScore& score, const EdgeBounds& bounds)
{
    m_presses += score.presses;
    m_missed += score.missed;
    m_invented += score.invented;
    m_setAside += score.setAside;
    std::vector<double> errors;
    for (const PressScore& press : score.scores) {
        errors.push_back(press.errorFrames);
        if (!press.jumps) {
            m_steadyErrors.push_back(press.errorFrames);
        }
        m_halfWidths.push_back(press.halfWidthFrames);
        m_covered += std::abs(press.errorFrames) <= press.halfWidthFrames ? 1 : 0;
        if (press.truthIndex < bounds.size() && bounds[press.truthIndex]) {
            m_bounds.push_back(*bounds[press.truthIndex]);
            m_boundedErrors.push_back(press.errorFrames);
        }
        if (press.fullFrameErrorMs) {
            m_fullFrameMs.push_back(*press.fullFrameErrorMs);
        }
    }
    m_errors.insert(m_errors.end(), errors.begin(), errors.end());
    if (!errors.empty()) {
        m_clipRmse.push_back(rootMeanSquare(errors));
    }
    if (score.newFrameError) {
        m_newFrame.push_back(std::abs(*score.newFrameError));
    }
}

double ClassTally::bias() const
{
    const double sum = std::accumulate(m_errors.begin(), m_errors.end(), 0.0);
    return m_errors.empty() ? 0.0 : sum / static_cast<double>(m_errors.size());
}

double ClassTally::rmse() const { return rootMeanSquare(m_errors); }

double ClassTally::rmseWithoutJumps() const { return rootMeanSquare(m_steadyErrors); }

double ClassTally::medianClipRmse() const { return median(m_clipRmse); }

double ClassTally::worst() const
{
    double worst = 0.0;
    for (const double error : m_errors) {
        worst = std::max(worst, std::abs(error));
    }
    return worst;
}

double ClassTally::medianHalfWidth() const { return median(m_halfWidths); }

std::optional<double> ClassTally::bound() const
{
    return m_bounds.empty() ? std::nullopt : std::optional(rootMeanSquare(m_bounds));
}

std::optional<double> ClassTally::rmseOfBounded() const
{
    return m_bounds.empty() ? std::nullopt : std::optional(rootMeanSquare(m_boundedErrors));
}

double ClassTally::coverage() const
{
    return m_errors.empty() ? 0.0 : m_covered / static_cast<double>(m_errors.size());
}

std::optional<double> ClassTally::fullFrameRmseMs() const
{
    return m_fullFrameMs.empty() ? std::nullopt : std::optional(rootMeanSquare(m_fullFrameMs));
}

std::optional<double> ClassTally::medianNewFrameError() const
{
    return m_newFrame.empty() ? std::nullopt : std::optional(median(m_newFrame));
}

std::string tableHead()
{
    return "| class | presses | missed | invented | set aside | bias | RMSE | RMSE, no jumps | "
           "RMSE, median clip | worst | inside 95 % | half width / RMSE | bound (RMSE) | "
           "full frame RMSE, ms | new frame, % |\n"
           "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|\n";
}

std::string tableRow(const SceneClass& kind, const ClassTally& tally)
{
    const auto figure = [](std::optional<double> value, double unit, int digits) {
        return value ? fmt::format("{:.{}f}", *value * unit, digits) : std::string("-");
    };
    const std::string bound = tally.bound()
        ? fmt::format("{:.4f} ({:.4f})", *tally.bound(), *tally.rmseOfBounded())
        : "-";
    const double steady = tally.rmseWithoutJumps();
    return fmt::format("| {} | {} | {} | {} | {} | {:+.4f} | {:.4f} | {:.4f} | {:.4f} | {:.2f} | "
                       "{:.1f} | {} | {} | {} | {} |\n",
        kind.name, tally.presses(), tally.missed(), tally.invented(), tally.setAside(),
        tally.bias(), tally.rmse(), steady, tally.medianClipRmse(), tally.worst(),
        100.0 * tally.coverage(),
        steady > 0.0 ? fmt::format("{:.2f}", tally.medianHalfWidth() / steady) : "-", bound,
        figure(tally.fullFrameRmseMs(), 1.0, 3), figure(tally.medianNewFrameError(), 100.0, 3));
}

} // namespace twinlamp::accuracy
