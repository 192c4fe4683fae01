// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/stats/plan/plan.h"

#include <QString>
#include <QStringList>

#include <array>
#include <cstdint>
#include <optional>

namespace twinlamp::ui {

/// Four questions that are asked together. Shares and chances are 0 to 1.
struct PlanQuestions
{
    double confidence = stats::usualConfidence;
    double sdMs = 5.0; ///< standard deviation of the latencies within a setting
    double lateShare = 0.05;
    std::int64_t lateSeen = 0;
    double coverage = 0.95;
    bool twoSided = false;
    double halfWidthMs = 1.0;
    stats::Centre centre = stats::Centre::Median;
    double differenceMs = 3.0;
    double power = 0.8;
};

/// What a plan says.
struct PlanWords
{
    QString answer; ///< "59 presses"; a dash where the values cannot be planned with
    QString beside; ///< runs, what is reached, how many there are already
};

inline constexpr std::size_t planCount = 4;

struct PlanAnswers
{
    /// Late share, limits, width, difference.
    std::array<PlanWords, planCount> plans;
    QStringList assumptions; ///< of all four, each once
};

/// Presses of one edge kind that were made already.
struct PressesMade
{
    std::int64_t presses = 0;
    std::int64_t runs = 0;
};

/// @param made  of the setting whose spread is taken; nothing where the spread was typed
/// Tests: tests/ui/models/press_plans_test.cpp
[[nodiscard]] PlanAnswers planAnswers(
    const PlanQuestions& questions, const std::optional<PressesMade>& made);

} // namespace twinlamp::ui
