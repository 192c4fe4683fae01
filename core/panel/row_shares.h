// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <optional>
#include <vector>

namespace twinlamp::panel {

/// First and last row of the panel to reach a tenth of their step after one press.
struct SweepSpan
{
    double firstMs = 0.0;
    double lastMs = 0.0;
};

/// How much of its step a band of the panel had made with each of two successive new pictures; the
/// third one completes it.
struct BandShare
{
    double position = 0.0; ///< middle of the band along the axis, 0 to 1
    std::array<double, 2> made {}; ///< 0 to 1
};

/// The bands of one press. The second of the pictures sweeps the panel from startMs on.
struct PressShares
{
    double startMs = 0.0;
    std::vector<BandShare> bands;
};

/// The link camera reads its rows one after another, so a row further along saw the lamp for longer
/// before its exposure ended: the row at position x has made clamp(p + slope x + perPicture j) of
/// its step with picture j (-1 or 0). Slope and perPicture are common to a clip.
struct RowShares
{
    double slope
        = 0.0; ///< read-out time over the link camera's exposure; its sign is its direction
    double perPicture = 1.0; ///< new-frame interval over that exposure
    std::vector<double> atStart; ///< p of every press
    double residual = 0.0; ///< typical miss of a band's share
};

/// @return nothing without bands
/// Source: geometry of a rolling shutter; least absolute misses over a grid.
/// Tests: tests/core/panel/row_shares_test.cpp
[[nodiscard]] std::optional<RowShares> fitRowShares(const std::vector<PressShares>& presses);

/// How the panel shows them.
struct SweepRows
{
    double scanMs = 0.0;
    bool forward = true;
    double newFrameMs = 0.0;
    double tauMs = 0.0; ///< response of its pixels
};

/// First and last row to make a tenth of its step, the response of the pixels included, over the
/// whole panel.
[[nodiscard]] SweepSpan rowSpan(
    const RowShares& rows, std::size_t press, double startMs, const SweepRows& sweep);

} // namespace twinlamp::panel
