// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/ui/explain/explained_press.h"
#include "ui/explain/trace_chart.h"

#include <gtest/gtest.h>

namespace twinlamp::ui {
namespace {

/// No text reaches over another text of its row or over a line that ends in a row above it.
void expectNoCrossing(const std::vector<MarkName>& names)
{
    for (std::size_t i = 0; i < names.size(); ++i) {
        for (std::size_t j = 0; j < names.size(); ++j) {
            if (i == j || names[i].row < 0) {
                continue;
            }
            const double left = names[i].textLeft();
            const double right = left + names[i].width;
            const bool lineInside = names[j].x > left && names[j].x < right;
            EXPECT_FALSE(lineInside && names[j].row >= names[i].row) << i << " over line " << j;
            const bool sameRow = names[i].row == names[j].row;
            EXPECT_FALSE(sameRow && left < names[j].textLeft() + names[j].width
                && names[j].textLeft() < right)
                << i << " over text " << j;
        }
    }
}

std::vector<MarkName> namesAt(std::initializer_list<double> places, double width)
{
    std::vector<MarkName> names;
    for (const double x : places) {
        names.push_back({x, width, {}});
    }
    return names;
}

TEST(MarkNames, OfACrowdStandAboveOneAnother)
{
    auto names = namesAt({100.0, 700.0, 712.0, 725.0, 760.0}, 90.0);
    placeMarkNames(names, 0.0, 1000.0);
    expectNoCrossing(names);
    for (const MarkName& name : names) {
        EXPECT_GE(name.row, 0);
    }
    EXPECT_TRUE(names[1].toTheLeft) << "the latency leaves room there";
}

TEST(MarkNames, TurnAroundAtTheRightEnd)
{
    auto names = namesAt({100.0, 500.0, 980.0}, 90.0);
    placeMarkNames(names, 0.0, 1000.0);
    EXPECT_TRUE(names[2].toTheLeft);
    expectNoCrossing(names);
}

TEST(MarkNames, AreLeftOutWhereNoRowIsFree)
{
    auto names = namesAt({400.0, 405.0, 410.0, 415.0, 420.0}, 90.0);
    placeMarkNames(names, 0.0, 1000.0);
    expectNoCrossing(names);
    EXPECT_GE(names.back().row, 0);
}

TEST(ResidualReach, IsTheNextRoundShareAboveTheLargestResidual)
{
    // One frame misses by 5 % of the step, two deviations are 4.5 %.
    EXPECT_NEAR(residualReach(tests::explainedPress()), 0.05, 1e-9);
    report::PressExplanation still = tests::explainedPress();
    for (report::ExplainedTrace* trace : {&still.reference, &still.goggle}) {
        trace->residualDeviation = 0.0;
        for (report::ExplainedSample& sample : trace->samples) {
            sample.residual = sample.residual ? std::optional(0.0) : std::nullopt;
        }
    }
    EXPECT_NEAR(residualReach(still), 0.005, 1e-9) << "noise of nothing is not blown up";
}

} // namespace
} // namespace twinlamp::ui
