// SPDX-License-Identifier: GPL-3.0-or-later
// Plans that need an idea of the spread beforehand.
#include "core/base/contracts.h"
#include "core/stats/order_statistics.h"
#include "core/stats/plan/plan_search.h"
#include "core/stats/special_functions.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace twinlamp::stats {

namespace {

/// Standard error of a median times sqrt(n), in standard deviations: 1 / (2 f) at the centre of a
/// normal and of a flat density.
const double normalMedianFactor = std::sqrt(std::numbers::pi / 2.0);
const double flatMedianFactor = std::sqrt(3.0);

Result<void> checkWidth(const WidthClaim& claim)
{
    return checkPositive("the standard deviation", claim.sdMs)
        .and_then([&] { return checkPositive("the half width", claim.halfWidthMs); })
        .and_then([&] { return checkShare("the confidence", claim.confidence); });
}

Result<std::int64_t> medianPresses(const WidthClaim& claim, double factor)
{
    const double z = normalQuantile(1.0 - (1.0 - claim.confidence) / 2.0);
    const double root = z * factor * claim.sdMs / claim.halfWidthMs;
    const double presses = std::ceil(root * root);
    if (presses > static_cast<double>(mostPlannedPresses)) {
        return fewestPresses(1, [](std::int64_t) { return false; });
    }
    // However wide: fewer presses have no interval at all.
    return std::max(fewestForInterval(0.5, claim.confidence), static_cast<std::int64_t>(presses));
}

Result<Plan> medianWidthPlan(const WidthClaim& claim)
{
    const auto presses = medianPresses(claim, normalMedianFactor);
    if (!presses) {
        return tl::unexpected(presses.error());
    }
    const double z = claim.halfWidthMs * std::sqrt(static_cast<double>(*presses))
        / (normalMedianFactor * claim.sdMs);
    Plan plan {*presses, 1.0 - normalBeyond(z), commonAssumptions()};
    plan.assumptions.insert(plan.assumptions.begin(), {"plan-median-normal", {}});
    if (const auto flat = medianPresses(claim, flatMedianFactor)) {
        plan.assumptions.insert(
            plan.assumptions.begin() + 1, {"plan-median-flat", {std::to_string(*flat)}});
    }
    return plan;
}

Result<Plan> meanWidthPlan(const WidthClaim& claim)
{
    const double probability = 1.0 - (1.0 - claim.confidence) / 2.0;
    const auto presses = fewestPresses(2, [&](std::int64_t n) {
        const auto count = static_cast<double>(n);
        return studentQuantile(count - 1.0, probability) * claim.sdMs / std::sqrt(count)
            <= claim.halfWidthMs;
    });
    if (!presses) {
        return tl::unexpected(presses.error());
    }
    const auto count = static_cast<double>(*presses);
    const double t = claim.halfWidthMs * std::sqrt(count) / claim.sdMs;
    Plan plan {*presses, 1.0 - studentBeyond(count - 1.0, t), commonAssumptions()};
    plan.assumptions.insert(plan.assumptions.begin(), {"plan-mean-student", {}});
    return plan;
}

} // namespace

Result<Plan> widthPlan(const WidthClaim& claim)
{
    if (const auto checked = checkWidth(claim); !checked) {
        return tl::unexpected(checked.error());
    }
    auto plan = claim.of == Centre::Mean ? meanWidthPlan(claim) : medianWidthPlan(claim);
    if (plan) {
        plan->assumptions.insert(
            plan->assumptions.begin(), {"plan-spread-known", {shortText(claim.sdMs)}});
    }
    return plan;
}

double differencePower(double presses, const DifferenceClaim& claim)
{
    TL_EXPECTS(presses > 1.0 && claim.sdMs > 0.0);
    const double degrees = 2.0 * (presses - 1.0);
    const double offset = claim.differenceMs / claim.sdMs * std::sqrt(presses / 2.0);
    const double limit = studentQuantile(degrees, 1.0 - (1.0 - claim.confidence) / 2.0);
    // Boost's series gives up far out; there the power is 1 to all places.
    constexpr double farOut = 40.0;
    return offset - limit > farOut ? 1.0 : noncentralStudentBeyond(degrees, offset, limit);
}

Result<Plan> differencePlan(const DifferenceClaim& claim)
{
    const auto checked
        = checkPositive("the standard deviation", claim.sdMs)
              .and_then([&] { return checkPositive("the difference", claim.differenceMs); })
              .and_then([&] { return checkShare("the power", claim.power); })
              .and_then([&] { return checkShare("the confidence", claim.confidence); });
    if (!checked) {
        return tl::unexpected(checked.error());
    }
    if (claim.power <= 1.0 - claim.confidence) {
        return fail(Stage::Stats, Cause::InvalidValue,
            "the power is " + shortText(claim.power)
                + "; it has to be larger than 1 less the confidence");
    }
    const auto presses = fewestPresses(2, [&](std::int64_t n) {
        return differencePower(static_cast<double>(n), claim) >= claim.power;
    });
    if (!presses) {
        return tl::unexpected(presses.error());
    }
    Plan plan {
        *presses, differencePower(static_cast<double>(*presses), claim), commonAssumptions()};
    plan.assumptions.insert(plan.assumptions.begin(),
        {{"plan-per-setting", {}}, {"plan-spread-known", {shortText(claim.sdMs)}},
            {"plan-mean-student", {}}});
    return plan;
}

} // namespace twinlamp::stats
