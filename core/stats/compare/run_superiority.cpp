// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/compare/run_superiority.h"

#include "core/base/contracts.h"
#include "core/stats/bootstrap.h"
#include "core/stats/compare/run_blocks.h"
#include "core/stats/moments.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <utility>
#include <vector>

namespace twinlamp::stats {

namespace {

using Runs = std::vector<std::vector<double>>;

/// Sorted values of the runs that have a press; a lost answer is later than any.
Runs sortedRuns(std::span<const RunLatencies> runs)
{
    Runs all;
    for (const RunLatencies& run : runs) {
        if (run.presses() == 0) {
            continue;
        }
        std::vector<double>& values = all.emplace_back(run.latenciesMs);
        values.resize(
            static_cast<std::size_t>(run.presses()), std::numeric_limits<double>::infinity());
        std::ranges::sort(values);
    }
    return all;
}

std::vector<double> pooled(const Runs& runs)
{
    std::vector<double> all;
    for (const std::vector<double>& run : runs) {
        all.insert(all.end(), run.begin(), run.end());
    }
    std::ranges::sort(all);
    return all;
}

/// How many of the sorted others lie above a value, less those that lie below.
double balance(double value, const std::vector<double>& others)
{
    const auto above = others.end() - std::ranges::upper_bound(others, value);
    const auto below = std::ranges::lower_bound(others, value) - others.begin();
    return static_cast<double>(above - below);
}

/// Whose runs.
enum class Side : std::uint8_t
{
    A,
    B
};

/// Parts of one side's runs in delta; the others are the presses of the other side.
RunBlocks partsOf(Side side, const Runs& runs, const std::vector<double>& others, double delta)
{
    const double sign = side == Side::A ? 1.0 : -1.0;
    RunBlocks parts;
    double presses = 0.0;
    double squares = 0.0;
    for (const std::vector<double>& run : runs) {
        std::vector<double> balances;
        for (const double value : run) {
            balances.push_back(sign * balance(value, others) / static_cast<double>(others.size()));
        }
        parts.figures.push_back(mean(balances).value_or(0.0));
        squares += sumOfSquaredDeviations(balances);
        presses += static_cast<double>(run.size());
    }
    const auto count = static_cast<double>(runs.size());
    parts.pressesARun = presses / count;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const double weight = static_cast<double>(runs[i].size()) / parts.pressesARun;
        parts.figures[i] = delta + weight * (parts.figures[i] - delta);
    }
    if (presses > count) {
        parts.withinVariance = squares / (presses - count) / presses;
    }
    return parts;
}

struct BothRuns
{
    const Runs& a;
    const Runs& b;
};

/// Sum of the balances of each run of A against each run of B, row by row.
std::vector<double> balancesOfRuns(const BothRuns& both)
{
    std::vector<double> sums;
    for (const std::vector<double>& ofA : both.a) {
        for (const std::vector<double>& ofB : both.b) {
            double sum = 0.0;
            for (const double value : ofA) {
                sum += balance(value, ofB);
            }
            sums.push_back(sum);
        }
    }
    return sums;
}

std::vector<std::size_t> drawn(std::size_t count, RandomSource& random)
{
    std::vector<std::size_t> places(count);
    std::ranges::generate(places, [&] { return random.index(count); });
    return places;
}

Interval bootstrapped(const BothRuns& both, const RunComparisonOptions& options)
{
    const Runs& a = both.a;
    const Runs& b = both.b;
    if (options.replicates == 0 || a.size() * b.size() > mostRunPairsForBootstrap) {
        return {};
    }
    const std::vector<double> sums = balancesOfRuns(both);
    RandomSource random(options.seed);
    std::vector<double> deltas(options.replicates);
    for (double& delta : deltas) {
        if (options.stop.stop_requested()) {
            return {};
        }
        const std::vector<std::size_t> ofA = drawn(a.size(), random);
        const std::vector<std::size_t> ofB = drawn(b.size(), random);
        double sum = 0.0;
        double pressesA = 0.0;
        double pressesB = 0.0;
        for (const std::size_t i : ofA) {
            pressesA += static_cast<double>(a[i].size());
            for (const std::size_t k : ofB) {
                sum += sums[i * b.size() + k];
            }
        }
        for (const std::size_t k : ofB) {
            pressesB += static_cast<double>(b[k].size());
        }
        delta = sum / (pressesA * pressesB);
    }
    return percentileInterval(std::move(deltas), options.confidence);
}

} // namespace

std::optional<RunSuperiority> superiorityByRuns(
    const TwoSettings& settings, const RunComparisonOptions& options)
{
    TL_EXPECTS(options.confidence > 0.5 && options.confidence < 1.0);
    const Runs a = sortedRuns(settings.a);
    const Runs b = sortedRuns(settings.b);
    if (a.empty() || b.empty()) {
        return std::nullopt;
    }
    const std::vector<double> allOfA = pooled(a);
    const std::vector<double> allOfB = pooled(b);
    double sum = 0.0;
    for (const double value : allOfA) {
        sum += balance(value, allOfB);
    }
    RunSuperiority found;
    const double delta
        = sum / (static_cast<double>(allOfA.size()) * static_cast<double>(allOfB.size()));
    found.delta.value = delta;
    found.chance = (delta + 1.0) / 2.0;
    if (std::min(a.size(), b.size()) < static_cast<std::size_t>(fewestRuns)) {
        return found;
    }
    found.bootstrap = bootstrapped({a, b}, options);
    const auto test
        = blockTest(partsOf(Side::A, a, allOfB, delta), partsOf(Side::B, b, allOfA, delta), 0.0);
    const double room = 1.0 - delta * delta;
    if (test && test->standardError > 0.0 && room > 0.0) {
        const double reach = test->standardError / room
            * studentQuantile(test->degrees, 1.0 - (1.0 - options.confidence) / 2.0);
        found.degrees = test->degrees;
        found.delta.interval
            = {std::tanh(std::atanh(delta) - reach), std::tanh(std::atanh(delta) + reach)};
    }
    return found;
}

} // namespace twinlamp::stats
