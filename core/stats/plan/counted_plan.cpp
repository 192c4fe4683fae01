// SPDX-License-Identifier: GPL-3.0-or-later
// Plans that only count presses: no shape of the latencies enters.
#include "core/base/contracts.h"
#include "core/stats/plan/plan_search.h"
#include "core/stats/special_functions.h"

namespace twinlamp::stats {

namespace {

std::string percentText(double share) { return shortText(100.0 * share); }

} // namespace

Result<Plan> latePlan(const LateClaim& claim)
{
    if (const auto share = checkShare("the late share", claim.share); !share) {
        return tl::unexpected(share.error());
    }
    if (const auto confidence = checkShare("the confidence", claim.confidence); !confidence) {
        return tl::unexpected(confidence.error());
    }
    if (claim.seen < 0 || claim.seen >= mostPlannedPresses) {
        return fail(Stage::Stats, Cause::InvalidValue,
            "the number of late presses seen is " + std::to_string(claim.seen)
                + "; it has to be 0 or more, and fewer than the presses");
    }
    const auto reached
        = [&](std::int64_t n) { return 1.0 - binomialAtMost(claim.seen, n, claim.share); };
    // The tail that is compared is the small one: 1 - (1 - x) would lose digits.
    const auto presses = fewestPresses(claim.seen + 1, [&](std::int64_t n) {
        return binomialAtMost(claim.seen, n, claim.share) <= 1.0 - claim.confidence;
    });
    if (!presses) {
        return tl::unexpected(presses.error());
    }
    Plan plan {*presses, reached(*presses), commonAssumptions()};
    plan.assumptions.insert(plan.assumptions.begin(),
        {"plan-late", {std::to_string(claim.seen), percentText(claim.share)}});
    return plan;
}

double limitsConfidence(std::int64_t presses, double coverage, std::int64_t extremes)
{
    TL_EXPECTS(presses >= 0 && extremes >= 1 && coverage > 0.0 && coverage < 1.0);
    return binomialAtMost(presses - extremes, presses, coverage);
}

double limitsCoverage(std::int64_t presses, double confidence, std::int64_t extremes)
{
    TL_EXPECTS(extremes >= 1 && confidence > 0.0 && confidence < 1.0);
    if (presses < extremes) {
        return 0.0;
    }
    // The share between two order statistics that leave `extremes` gaps out follows a beta law.
    return betaQuantile(static_cast<double>(presses - extremes + 1), static_cast<double>(extremes),
        1.0 - confidence);
}

Result<Plan> limitsPlan(const LimitsClaim& claim)
{
    TL_EXPECTS(claim.extremes >= 1);
    if (const auto coverage = checkShare("the coverage", claim.coverage); !coverage) {
        return tl::unexpected(coverage.error());
    }
    if (const auto confidence = checkShare("the confidence", claim.confidence); !confidence) {
        return tl::unexpected(confidence.error());
    }
    const auto presses = fewestPresses(claim.extremes, [&](std::int64_t n) {
        return limitsConfidence(n, claim.coverage, claim.extremes) >= claim.confidence;
    });
    if (!presses) {
        return tl::unexpected(presses.error());
    }
    Plan plan {
        *presses, limitsConfidence(*presses, claim.coverage, claim.extremes), commonAssumptions()};
    const std::string share = percentText(claim.coverage);
    Sentence what {"plan-limits-upper", {share}};
    if (claim.extremes == 2) {
        what.id = "plan-limits-both";
    } else if (claim.extremes > 2) {
        what = {"plan-limits-discarding", {std::to_string(claim.extremes - 1), share}};
    }
    plan.assumptions.insert(plan.assumptions.begin(), {what, {"plan-any-shape", {}}});
    return plan;
}

} // namespace twinlamp::stats
