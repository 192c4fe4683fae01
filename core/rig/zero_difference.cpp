// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/rig/zero_difference.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace twinlamp::rig {

namespace {

constexpr std::size_t fewestClear = 3;
constexpr std::size_t fewestEdges = 2;

struct Single
{
    Edge edge = Edge::On;
    double ms = 0.0;
    double weight = 0.0;
    double boundMs = 0.0; ///< half width within which a bounded onset may lie; 0: not bounded
};

struct WeightedMean
{
    double ms = 0.0;
    double standardMs = 0.0; ///< from the scatter
    double scatterMs = 0.0;
    double boundMs = 0.0; ///< half width if all bounded onsets err alike
    std::size_t count = 0;

    [[nodiscard]] double degrees() const { return static_cast<double>(count) - 1.0; }
};

Single singleOf(const ZeroEdge& edge)
{
    const double variance = edge.reference.standardMs * edge.reference.standardMs
        + edge.goggle.standardMs * edge.goggle.standardMs;
    const auto bound = [](const CheckOnset& onset) {
        return onset.isBounded ? std::sqrt(3.0) * onset.standardMs : 0.0;
    };
    return {edge.edge, edge.goggle.timeMs - edge.reference.timeMs, 1.0 / variance,
        std::hypot(bound(edge.reference), bound(edge.goggle))};
}

template<typename Wanted> WeightedMean meanOf(const std::vector<Single>& singles, Wanted wanted)
{
    WeightedMean mean;
    double weight = 0.0;
    for (const Single& single : singles) {
        if (wanted(single)) {
            ++mean.count;
            weight += single.weight;
            mean.ms += single.weight * single.ms;
            mean.boundMs += single.weight * single.boundMs;
        }
    }
    if (mean.count == 0) {
        return mean;
    }
    mean.ms /= weight;
    mean.boundMs /= weight;
    double weighted = 0.0;
    double plain = 0.0;
    for (const Single& single : singles) {
        if (wanted(single)) {
            const double away = single.ms - mean.ms;
            weighted += single.weight * away * away;
            plain += away * away;
        }
    }
    if (mean.count > 1) {
        mean.standardMs = std::sqrt(weighted / (mean.degrees() * weight));
        mean.scatterMs = std::sqrt(plain / mean.degrees());
    }
    return mean;
}

/// Off minus on where that is more than chance.
std::optional<double> offMinusOn(const std::vector<Single>& singles)
{
    constexpr std::size_t fewestOfAKind = 4;
    const WeightedMean on = meanOf(singles, [](const Single& s) { return s.edge == Edge::On; });
    const WeightedMean off = meanOf(singles, [](const Single& s) { return s.edge == Edge::Off; });
    if (on.count < fewestOfAKind || off.count < fewestOfAKind) {
        return std::nullopt;
    }
    const std::array parts {
        StandardPart {on.standardMs, on.degrees()}, StandardPart {off.standardMs, off.degrees()}};
    // Two kinds of one lamp pair rarely differ: only what chance does once in a thousand checks.
    constexpr double confidence = 0.999;
    const double difference = off.ms - on.ms;
    return std::abs(difference) > expandedUncertainty(parts, confidence).halfWidth
        ? std::optional(difference)
        : std::nullopt;
}

} // namespace

Result<ZeroDifference> zeroDifference(
    std::span<const ZeroEdge> edges, std::span<const StandardPart> common)
{
    std::vector<Single> singles;
    for (const ZeroEdge& edge : edges) {
        if (edge.reference.standardMs > 0.0 && edge.goggle.standardMs > 0.0) {
            singles.push_back(singleOf(edge));
        }
    }
    const auto clear
        = std::ranges::count_if(singles, [](const Single& s) { return s.boundMs == 0.0; });
    ZeroDifference zero;
    zero.onlyBounded = static_cast<std::size_t>(clear) < fewestClear;
    if (!zero.onlyBounded) {
        std::erase_if(singles, [](const Single& s) { return s.boundMs > 0.0; });
    }
    if (singles.size() < fewestEdges) {
        return fail(Stage::Rig, Cause::TooFew,
            "a zero check needs at least 2 switchings that both lamps show; found "
                + std::to_string(singles.size()) + ", press more often");
    }
    zero.offMinusOnMs = offMinusOn(singles);
    const bool onOnly = zero.offMinusOnMs.has_value();
    const WeightedMean mean
        = meanOf(singles, [&](const Single& s) { return !onOnly || s.edge == Edge::On; });
    std::vector<StandardPart> parts(common.begin(), common.end());
    parts.push_back({mean.standardMs, mean.degrees()});
    parts.push_back({mean.boundMs / std::sqrt(3.0), std::nullopt});
    zero.differenceMs = mean.ms;
    zero.halfWidthMs = expandedUncertainty(parts).halfWidth;
    zero.scatterMs = mean.scatterMs;
    zero.edges = static_cast<int>(mean.count);
    return zero;
}

} // namespace twinlamp::rig
