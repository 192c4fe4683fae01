// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/lamp_profile.h"

#include "core/trace/noise.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>
#include <vector>

namespace twinlamp::measure {

using onset::AnswerWindow;
using onset::CoarseEdge;
using onset::SweepWeights;
using onset::TimedTrace;

namespace {

// From half light on the panel settles within this time: a second new picture and its response.
constexpr double settlingMs = 30.0;
constexpr std::size_t fewestQuiet = 3;
constexpr std::size_t mostAnswers = 48;

struct Stretch
{
    std::size_t first = 0;
    std::size_t last = 0; ///< not part of it

    [[nodiscard]] std::size_t size() const { return last > first ? last - first : 0; }
};

/// The quiet frames around one answer.
struct QuietFrames
{
    Stretch before;
    Stretch after;
    double sign = 1.0;
};

std::optional<QuietFrames> quietFrames(
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, const PairedEdge& pair)
{
    const AnswerWindow window = answerWindow(goggle, edges, pair, guessedNewFrameMs);
    const double meanRow = goggle.rows.meanRowMs();
    const double half = goggle.startMs[edges[pair.goggleEdge].frame] + meanRow;
    const auto from = [&](double ms) {
        return static_cast<std::size_t>(
            std::ranges::lower_bound(goggle.startMs, ms - meanRow) - goggle.startMs.begin());
    };
    const std::size_t departs = from(window.earliestMs - goggle.camera.exposureMs);
    const QuietFrames quiet {{window.firstFrame, std::min(departs, window.lastFrame)},
        {std::min(from(half + settlingMs), window.lastFrame), window.lastFrame},
        window.edge == Edge::On ? 1.0 : -1.0};
    if (quiet.before.size() < fewestQuiet || quiet.after.size() < fewestQuiet) {
        return std::nullopt;
    }
    return quiet;
}

/// Light of the rows, or of the columns, of the region.
class Lines
{
public:
    Lines(const panel::CellTraces& cells, bool rows)
        : m_cells(cells)
        , m_rows(rows)
    {
    }

    [[nodiscard]] std::size_t count() const
    {
        return static_cast<std::size_t>(m_rows ? m_cells.rows : m_cells.columns);
    }

    [[nodiscard]] double at(std::size_t frame, std::size_t line) const
    {
        const auto columns = static_cast<std::size_t>(m_cells.columns);
        const std::size_t across = m_rows ? columns : static_cast<std::size_t>(m_cells.rows);
        double sum = 0.0;
        for (std::size_t i = 0; i < across; ++i) {
            const std::size_t cell = m_rows ? line * columns + i : i * columns + line;
            sum += static_cast<double>(m_cells.at(frame, cell));
        }
        return sum / static_cast<double>(across);
    }

    /// Mean over the frames of a stretch that are there.
    [[nodiscard]] double mean(Stretch frames, std::size_t line) const
    {
        double sum = 0.0;
        double n = 0.0;
        for (std::size_t k = frames.first; k < frames.last; ++k) {
            const double light = at(k, line);
            if (std::isfinite(light)) {
                sum += light;
                n += 1.0;
            }
        }
        return n > 0.0 ? sum / n : 0.0;
    }

private:
    const panel::CellTraces& m_cells;
    bool m_rows;
};

/// Steps and mean arrivals of all lines after one press.
struct Arrival
{
    std::vector<double> step;
    std::vector<double> meanMs; ///< after the last quiet frame
    double spreadMs = 0.0; ///< standard deviation of the arrival of the whole region's light
};

Arrival arrivalOf(const Lines& lines, const QuietFrames& quiet, std::span<const double> startMs)
{
    Arrival arrival;
    double moment = 0.0;
    double squares = 0.0;
    double steps = 0.0;
    const double origin = startMs[quiet.before.last - 1];
    for (std::size_t line = 0; line < lines.count(); ++line) {
        const double before = lines.mean(quiet.before, line);
        const double after = lines.mean(quiet.after, line);
        double area = 0.0;
        double second = 0.0;
        for (std::size_t k = quiet.before.last; k < quiet.after.first; ++k) {
            const double light = lines.at(k, line);
            if (std::isfinite(light)) {
                const double width = startMs[k] - startMs[k - 1];
                area += (after - light) * width;
                second += 2.0 * (startMs[k] - origin) * (after - light) * width;
            }
        }
        const double step = after - before;
        arrival.step.push_back(quiet.sign * step);
        arrival.meanMs.push_back(step != 0.0 ? area / step : 0.0);
        steps += step;
        moment += area;
        squares += second;
    }
    const double mean = steps != 0.0 ? moment / steps : 0.0;
    arrival.spreadMs = steps != 0.0 ? std::sqrt(std::max(0.0, squares / steps - mean * mean)) : 0.0;
    return arrival;
}

// How much later the last line is lit than the first, by least squares over the lines, each by its
// step.
double delayAcross(const Arrival& arrival)
{
    const std::size_t n = arrival.step.size();
    double weights = 0.0;
    double place = 0.0;
    double time = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double w = std::max(0.0, arrival.step[i]) * std::max(0.0, arrival.step[i]);
        weights += w;
        place += w * static_cast<double>(i);
        time += w * arrival.meanMs[i];
    }
    if (weights <= 0.0) {
        return 0.0;
    }
    place /= weights;
    time /= weights;
    double together = 0.0;
    double apart = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double w = std::max(0.0, arrival.step[i]) * std::max(0.0, arrival.step[i]);
        const double offset = static_cast<double>(i) - place;
        together += w * offset * (arrival.meanMs[i] - time);
        apart += w * offset * offset;
    }
    return apart > 0.0 ? together / apart * static_cast<double>(n) : 0.0;
}

struct Profile
{
    SweepWeights weights;
    double delayMs = 0.0; ///< from the first line to the last
};

Profile profileOf(
    const Lines& lines, const std::vector<QuietFrames>& answers, std::span<const double> startMs)
{
    Profile profile;
    std::vector<Arrival> arrivals;
    for (const QuietFrames& quiet : answers) {
        arrivals.push_back(arrivalOf(lines, quiet, startMs));
    }
    profile.weights.assign(lines.count(), 0.0);
    for (const Arrival& arrival : arrivals) {
        std::ranges::transform(
            profile.weights, arrival.step, profile.weights.begin(), std::plus<>());
    }
    double sum = 0.0;
    for (double& weight : profile.weights) {
        weight = std::max(0.0, weight);
        sum += weight;
    }
    for (double& weight : profile.weights) {
        weight = sum > 0.0 ? weight / sum : 1.0 / static_cast<double>(lines.count());
    }
    // A first picture that is lit in part delays the rows unevenly: the answers in one step tell.
    std::ranges::sort(arrivals, {}, &Arrival::spreadMs);
    const std::size_t sharp = std::max<std::size_t>(1, arrivals.size() / 3);
    std::vector<double> delays;
    for (std::size_t i = 0; i < sharp; ++i) {
        delays.push_back(delayAcross(arrivals[i]));
    }
    profile.delayMs = trace::medianOf(delays);
    return profile;
}

} // namespace

std::shared_ptr<const SweepWeights> sweepWeights(const panel::CellTraces& cells,
    const TimedTrace& goggle, std::span<const CoarseEdge> edges, std::span<const PairedEdge> paired)
{
    std::vector<QuietFrames> answers;
    const std::size_t stride = std::max<std::size_t>(1, paired.size() / mostAnswers);
    for (std::size_t i = 0; i < paired.size(); i += stride) {
        if (const auto quiet = quietFrames(goggle, edges, paired[i])) {
            answers.push_back(*quiet);
        }
    }
    if (answers.empty()) {
        return nullptr;
    }
    const Profile rows = profileOf(Lines(cells, true), answers, goggle.startMs);
    const Profile columns = profileOf(Lines(cells, false), answers, goggle.startMs);
    Profile along = std::abs(rows.delayMs) >= std::abs(columns.delayMs) ? rows : columns;
    if (along.delayMs < 0.0) {
        std::ranges::reverse(along.weights);
    }
    return std::make_shared<const SweepWeights>(std::move(along.weights));
}

} // namespace twinlamp::measure
