// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/rank_shift.h"

#include "core/base/contracts.h"
#include "core/stats/compare/ordered_differences.h"
#include "core/stats/compare/rank_distribution.h"
#include "core/stats/special_functions.h"
#include "core/stats/ties.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace twinlamp::stats {

namespace {

std::vector<double> pooled(const TwoSamples& samples)
{
    std::vector<double> all(samples.x.begin(), samples.x.end());
    all.insert(all.end(), samples.y.begin(), samples.y.end());
    return all;
}

double uOf(const TwoSamples& samples)
{
    const std::vector<double> ranks = midRanks(pooled(samples));
    double sum = 0.0;
    for (std::size_t i = 0; i < samples.x.size(); ++i) {
        sum += ranks[i];
    }
    const auto m = static_cast<double>(samples.x.size());
    return sum - m * (m + 1.0) / 2.0;
}

/// Wins less losses of each value against all of the sorted others.
std::vector<double> balances(
    std::span<const double> values, const std::vector<double>& sortedOthers)
{
    std::vector<double> all;
    for (const double value : values) {
        const auto below = std::ranges::lower_bound(sortedOthers, value) - sortedOthers.begin();
        const auto above = sortedOthers.end() - std::ranges::upper_bound(sortedOthers, value);
        all.push_back(static_cast<double>(below - above));
    }
    return all;
}

std::vector<double> sorted(std::span<const double> values)
{
    std::vector<double> ordered(values.begin(), values.end());
    std::ranges::sort(ordered);
    return ordered;
}

double sumOfSquaresAbout(const std::vector<double>& balances, double others, double delta)
{
    double sum = 0.0;
    for (const double balance : balances) {
        const double deviation = balance / others - delta;
        sum += deviation * deviation;
    }
    return sum;
}

Interval cliffInterval(double delta, double variance, double quantile)
{
    const double rest = 1.0 - delta * delta;
    const double spread = quantile * quantile * variance;
    const double reach = quantile * std::sqrt(variance) * std::sqrt(rest * rest + spread);
    const double centre = delta - delta * delta * delta;
    return {std::max(-1.0, (centre - reach) / (rest + spread)),
        std::min(1.0, (centre + reach) / (rest + spread))};
}

} // namespace

double mannWhitneyNormal(const TwoSamples& samples, bool continuityCorrection)
{
    TL_EXPECTS(!samples.x.empty() && !samples.y.empty());
    const auto m = static_cast<double>(samples.x.size());
    const auto n = static_cast<double>(samples.y.size());
    const double all = m + n;
    const double variance
        = m * n / 12.0 * (all + 1.0 - tieLoss(pooled(samples)) / (all * (all - 1.0)));
    const double away = std::abs(uOf(samples) - m * n / 2.0);
    if (variance <= 0.0 || away == 0.0) {
        return 1.0;
    }
    const double corrected = continuityCorrection ? std::max(0.0, away - 0.5) : away;
    return normalBeyond(corrected / std::sqrt(variance));
}

double mannWhitneyExact(const TwoSamples& samples)
{
    TL_EXPECTS(!samples.x.empty() && !samples.y.empty());
    TL_EXPECTS(samples.x.size() + samples.y.size() <= mostForExactRanks);
    std::vector<std::int64_t> doubled;
    std::int64_t seen = 0;
    std::int64_t total = 0;
    for (const double rank : midRanks(pooled(samples))) {
        doubled.push_back(std::llround(2.0 * rank));
        total += doubled.back();
        seen += doubled.size() <= samples.x.size() ? doubled.back() : 0;
    }
    const std::vector<double> chances = rankSumChances(doubled, samples.x.size());
    // Distances from the mean rank sum, times the number of values: integers, compared exactly.
    const auto count = static_cast<std::int64_t>(doubled.size());
    const std::int64_t centre = total * static_cast<std::int64_t>(samples.x.size());
    const std::int64_t away = std::abs(seen * count - centre);
    double beyond = 0.0;
    for (std::size_t sum = 0; sum < chances.size(); ++sum) {
        if (std::abs(static_cast<std::int64_t>(sum) * count - centre) >= away) {
            beyond += chances[sum];
        }
    }
    return std::min(1.0, beyond);
}

std::optional<MannWhitney> mannWhitney(const TwoSamples& samples)
{
    if (samples.x.empty() || samples.y.empty()) {
        return std::nullopt;
    }
    MannWhitney test;
    test.u = uOf(samples);
    test.isExact = samples.x.size() + samples.y.size() <= mostForExactRanks;
    test.pValue = test.isExact ? mannWhitneyExact(samples) : mannWhitneyNormal(samples);
    return test;
}

std::optional<Estimate> hodgesLehmannShift(const TwoSamples& samples, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    if (samples.x.empty() || samples.y.empty()) {
        return std::nullopt;
    }
    const OrderedDifferences differences(sorted(samples.x), sorted(samples.y));
    const std::int64_t pairs = differences.count();
    Estimate shift;
    shift.value = (differences.atRank((pairs + 1) / 2) + differences.atRank(pairs / 2 + 1)) / 2.0;
    const std::int64_t rank
        = shiftRank(samples.x.size(), samples.y.size(), (1.0 - confidence) / 2.0);
    if (rank > 0) {
        shift.interval = {differences.atRank(rank), differences.atRank(pairs + 1 - rank)};
    }
    return shift;
}

std::optional<Superiority> superiority(const TwoSamples& samples, double confidence)
{
    TL_EXPECTS(confidence > 0.0 && confidence < 1.0);
    if (samples.x.empty() || samples.y.empty()) {
        return std::nullopt;
    }
    const std::vector<double> sortedX = sorted(samples.x);
    const std::vector<double> sortedY = sorted(samples.y);
    Superiority found;
    for (const double x : sortedX) {
        found.wins += std::ranges::lower_bound(sortedY, x) - sortedY.begin();
        found.losses += sortedY.end() - std::ranges::upper_bound(sortedY, x);
    }
    const auto m = static_cast<double>(sortedX.size());
    const auto n = static_cast<double>(sortedY.size());
    const auto pairs = static_cast<std::int64_t>(sortedX.size() * sortedY.size());
    found.ties = pairs - found.wins - found.losses;
    const double delta = static_cast<double>(found.wins - found.losses) / (m * n);
    found.delta.value = delta;
    found.chance = (delta + 1.0) / 2.0;
    if (sortedX.size() < 2 || sortedY.size() < 2) {
        return found;
    }
    const double rows = sumOfSquaresAbout(balances(sortedX, sortedY), n, delta);
    const double columns = sumOfSquaresAbout(balances(sortedY, sortedX), m, -delta);
    // The sum of (d_ij - delta)^2, where d_ij is 1, 0 or -1.
    const double cells = static_cast<double>(found.wins + found.losses) - m * n * delta * delta;
    found.deltaVariance
        = std::max(0.0, (n * n * rows + m * m * columns - cells) / (m * n * (m - 1.0) * (n - 1.0)));
    if (found.deltaVariance > 0.0) {
        const double quantile = studentQuantile(m + n - 2.0, 1.0 - (1.0 - confidence) / 2.0);
        found.delta.interval = cliffInterval(delta, found.deltaVariance, quantile);
    }
    return found;
}

} // namespace twinlamp::stats
