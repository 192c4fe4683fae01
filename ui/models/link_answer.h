// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/link/latency_model.h"
#include "core/link/radio.h"
#include "ui/models/comparison_words.h"
#include "ui/plots/chart_data.h"

#include <QString>

#include <array>
#include <optional>
#include <vector>

namespace twinlamp::ui {

/// One column of what-if values.
struct WhatIfLink
{
    link::LinkModel model {
        20.0, 60.0, link::PictureSize {1280.0, 720.0}, {}, 20.0, 2.0, 1400.0, 0.01, 2.0, {}};
    link::LatencyParts parts {12.0, {}};
    double burstFactor = 1.0; ///< heeded by the simulation alone
    /// Output power, mW: the loss then comes from the radio path, with the model's channel width.
    std::optional<double> powerMw;
    link::RadioLink radio;
};

/// The loss that the column works with: the given one, or that of its radio path.
[[nodiscard]] double lossOf(const WhatIfLink& link);

/// What one column leaves room for.
struct LinkReckoning
{
    QString error; ///< a sentence where a value is out of its bounds; all else is then empty
    double loss = 0.0; ///< share of packets lost at each try that was reckoned with
    std::optional<link::LinkFigures> figures;
    std::optional<link::LatencyDistribution> closed; ///< nothing where nearly every frame is late
    link::Simulation simulated;
};

struct LinkAnswer
{
    std::array<LinkReckoning, 2> links;
    ChartData chart;
};

/// Reckons both columns and lays them on the axis of the measured setting, where there is one.
///
/// @param measured  a setting of the session, or nothing
/// Cost:   two simulations of some 20000 presses: tenths of a second where frames have many packets
/// Tests:  tests/ui/models/link_answer_test.cpp
[[nodiscard]] LinkAnswer reckonLinks(
    const std::array<WhatIfLink, 2>& links, const std::optional<ChartSeries>& measured);

/// Figures of both columns side by side.
[[nodiscard]] FigureLines linkTable(const LinkAnswer& answer);
/// What both take for granted, each sentence once; errors first.
[[nodiscard]] QStringList linkWords(const LinkAnswer& answer);

} // namespace twinlamp::ui
