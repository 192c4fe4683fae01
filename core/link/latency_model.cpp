// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/link/latency_model.h"

#include "core/base/contracts.h"
#include "core/stats/random_index.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::link {

namespace {

using stats::RandomSource;

/// Chances below this are left out of the closed form.
constexpr double negligible = 1e-12;

/// P(U1 + U2 <= x) of two even waits over [0, a] and [0, b]; b may be 0.
double shareOfWaits(double x, double a, double b)
{
    if (b <= 0.0) {
        return std::clamp(x / a, 0.0, 1.0);
    }
    // Area of the rectangle a x b below the line u1 + u2 = x.
    const auto corner = [](double side) { return side > 0.0 ? side * side / 2.0 : 0.0; };
    const double area = corner(x) - corner(x - a) - corner(x - b) + corner(x - a - b);
    return std::clamp(area / (a * b), 0.0, 1.0);
}

Result<void> checkParts(const LatencyParts& parts)
{
    if (!(parts.fixedMs >= 0.0) || !std::isfinite(parts.fixedMs)) {
        return fail(Stage::Link, Cause::InvalidValue, "the fixed part has to be 0 ms or more");
    }
    if (parts.panelRateHz && !(*parts.panelRateHz > 0.0 && std::isfinite(*parts.panelRateHz))) {
        return fail(
            Stage::Link, Cause::InvalidValue, "the panel's rate has to be larger than 0 Hz");
    }
    return {};
}

/// Two states, packet by packet; `loss` of all packets on average.
struct BurstLoss
{
    double loss = 0.0;
    double again = 0.0; ///< chance that a lost packet is followed by another
    double begins = 0.0; ///< chance that an arrived one is followed by a lost one

    [[nodiscard]] bool first(RandomSource& random) const { return random.unit() < loss; }

    [[nodiscard]] bool next(bool lost, RandomSource& random) const
    {
        return random.unit() < (lost ? again : begins);
    }
};

Result<BurstLoss> burstLoss(double loss, double factor)
{
    if (!(factor >= 1.0) || !std::isfinite(factor)) {
        return fail(Stage::Link, Cause::InvalidValue, "the burst factor has to be 1 or more");
    }
    BurstLoss burst;
    burst.loss = loss;
    // Independent losses come in bursts of 1 / (1 - loss) packets. The share of lost packets is
    // begins / (begins + 1 - again).
    burst.again = 1.0 - (1.0 - loss) / factor;
    burst.begins = loss / factor;
    return burst;
}

/// Rounds that one frame takes; one more than `mostRounds` where it is late.
std::int64_t roundsOf(
    std::int64_t packets, std::int64_t mostRounds, const BurstLoss& burst, RandomSource& random)
{
    std::int64_t missing = packets;
    std::int64_t round = 0;
    while (missing > 0 && round < mostRounds) {
        ++round;
        std::int64_t lost = 0;
        bool last = burst.first(random);
        for (std::int64_t packet = 0; packet < missing; ++packet) {
            lost += last ? 1 : 0;
            last = burst.next(last, random);
        }
        missing = lost;
    }
    return missing > 0 ? mostRounds + 1 : round;
}

} // namespace

LatencyDistribution::LatencyDistribution(
    const LinkModel& model, const LinkFigures& figures, const LatencyParts& parts)
    : m_frameMs(figures.frameIntervalMs)
    , m_refreshMs(parts.panelRateHz ? 1000.0 / *parts.panelRateHz : 0.0)
{
    TL_EXPECTS(figures.lateShare <= mostLateForDistribution);
    const double start = parts.fixedMs + figures.sendMs;
    const double roundTrip = model.roundTripMs.value_or(0.0);
    double frameChance = 1.0;
    for (int frame = 0; frameChance > negligible; ++frame) {
        double before = 0.0;
        for (std::int64_t round = 1; round <= figures.repeatsInAllowance + 1; ++round) {
            const double within = doneWithin(round, figures.packets, model.loss);
            const double chance = frameChance * (within - before);
            before = within;
            if (chance > 0.0) {
                m_atoms.push_back(
                    {start + frame * m_frameMs + static_cast<double>(round - 1) * roundTrip,
                        chance});
            }
            if (1.0 - within < negligible) {
                break;
            }
        }
        frameChance *= figures.lateShare;
    }
    double sum = 0.0;
    for (const Atom& atom : m_atoms) {
        sum += atom.chance;
    }
    for (Atom& atom : m_atoms) {
        atom.chance /= sum;
    }
    std::ranges::sort(m_atoms, {}, &Atom::startMs);
}

double LatencyDistribution::shareUpTo(double latencyMs) const
{
    double share = 0.0;
    for (const Atom& atom : m_atoms) {
        if (atom.startMs > latencyMs) {
            break;
        }
        share += atom.chance * shareOfWaits(latencyMs - atom.startMs, m_frameMs, m_refreshMs);
    }
    return std::min(1.0, share);
}

double LatencyDistribution::meanMs() const
{
    double sum = (m_frameMs + m_refreshMs) / 2.0;
    for (const Atom& atom : m_atoms) {
        sum += atom.chance * atom.startMs;
    }
    return sum;
}

double LatencyDistribution::sdMs() const
{
    const double centre = meanMs() - (m_frameMs + m_refreshMs) / 2.0;
    double variance = (m_frameMs * m_frameMs + m_refreshMs * m_refreshMs) / 12.0;
    for (const Atom& atom : m_atoms) {
        variance += atom.chance * (atom.startMs - centre) * (atom.startMs - centre);
    }
    return std::sqrt(variance);
}

double LatencyDistribution::quantileMs(double share) const
{
    TL_EXPECTS(share > 0.0 && share < 1.0);
    double low = m_atoms.front().startMs;
    double high = m_atoms.back().startMs + m_frameMs + m_refreshMs;
    constexpr int halvings = 60;
    for (int i = 0; i < halvings; ++i) {
        const double middle = (low + high) / 2.0;
        (shareUpTo(middle) < share ? low : high) = middle;
    }
    return (low + high) / 2.0;
}

Result<std::optional<LatencyDistribution>> latencyDistribution(
    const LinkModel& model, const LatencyParts& parts)
{
    const auto figures = checkParts(parts).and_then([&] { return linkFigures(model); });
    if (!figures) {
        return tl::unexpected(figures.error());
    }
    if (figures->lateShare > mostLateForDistribution) {
        return std::optional<LatencyDistribution> {};
    }
    return std::optional(LatencyDistribution(model, *figures, parts));
}

Result<Simulation> simulateLink(
    const LinkModel& model, const LatencyParts& parts, const SimulationPlan& plan)
{
    TL_EXPECTS(plan.presses > 0);
    const auto figures = checkParts(parts).and_then([&] { return linkFigures(model); });
    if (!figures) {
        return tl::unexpected(figures.error());
    }
    const auto burst = burstLoss(model.loss, plan.burstFactor);
    if (!burst) {
        return tl::unexpected(burst.error());
    }
    Simulation simulation;
    if (figures->lateShare >= 1.0) {
        simulation.lateShare = 1.0;
        return simulation;
    }
    RandomSource random(plan.seed);
    const double refreshMs = parts.panelRateHz ? 1000.0 / *parts.panelRateHz : 0.0;
    const std::int64_t mostRounds = figures->repeatsInAllowance + 1;
    const std::size_t mostFrames = std::max<std::size_t>(
        1, mostSimulatedPackets / static_cast<std::size_t>(figures->packets));
    std::size_t frames = 0;
    std::size_t late = 0;
    double waitedMs = 0.0; // for frames that were late
    while (simulation.latenciesMs.size() < plan.presses && frames < mostFrames) {
        ++frames;
        const std::int64_t rounds = roundsOf(figures->packets, mostRounds, *burst, random);
        if (rounds > mostRounds) {
            ++late;
            waitedMs += figures->frameIntervalMs;
            continue;
        }
        const double phases = figures->frameIntervalMs * random.unit() + refreshMs * random.unit();
        const double repeats = static_cast<double>(rounds - 1) * model.roundTripMs.value_or(0.0);
        simulation.latenciesMs.push_back(
            parts.fixedMs + figures->sendMs + phases + repeats + waitedMs);
        waitedMs = 0.0;
    }
    simulation.lateShare = static_cast<double>(late) / static_cast<double>(frames);
    return simulation;
}

} // namespace twinlamp::link
