// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/contracts.h"
#include "core/base/wire_names.h"
#include "core/report/press_explanation.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::report {

namespace {

Sentence howOf(UncertaintySource source, const ClipFacts& clip)
{
    if (source == UncertaintySource::CaptureRate
        && clip.captureRateSource == RateSource::TimeBase) {
        return {"budget-how-time-base", {}};
    }
    return {"budget-how-" + std::string(wireName(source)), {}};
}

std::optional<double> effectiveFreedom(const std::vector<BudgetRow>& rows, double combinedMs)
{
    double sum = 0.0;
    for (const BudgetRow& row : rows) {
        if (row.degreesOfFreedom && *row.degreesOfFreedom > 0.0) {
            sum += std::pow(row.standardMs, 4) / *row.degreesOfFreedom;
        }
    }
    return sum > 0.0 ? std::optional(std::pow(combinedMs, 4) / sum) : std::nullopt;
}

} // namespace

Sentence sourceName(UncertaintySource source)
{
    return {"budget-source-" + std::string(wireName(source)), {}};
}

Budget budgetOf(const Press& press, const ClipFacts& clip)
{
    TL_EXPECTS(press.uncertainty.has_value());
    Budget budget;
    double variance = 0.0;
    for (const UncertaintyPart& part : press.parts) {
        variance += part.standardMs * part.standardMs;
    }
    for (const UncertaintyPart& part : press.parts) {
        budget.rows.push_back({part.source, sourceName(part.source), howOf(part.source, clip),
            part.standardMs, part.degreesOfFreedom, part.commonToAll,
            variance > 0.0 ? part.standardMs * part.standardMs / variance : 0.0});
    }
    std::ranges::stable_sort(budget.rows, std::ranges::greater(), &BudgetRow::varianceShare);
    budget.combinedMs = std::sqrt(variance);
    budget.halfWidthMs = toMs(*press.uncertainty);
    budget.coverageFactor = budget.combinedMs > 0.0 ? budget.halfWidthMs / budget.combinedMs : 0.0;
    budget.degreesOfFreedom = effectiveFreedom(budget.rows, budget.combinedMs);
    return budget;
}

} // namespace twinlamp::report
