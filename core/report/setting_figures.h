// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"
#include "core/stats/histogram.h"
#include "core/stats/summary.h"

#include <cstdint>
#include <map>
#include <optional>
#include <vector>

namespace twinlamp::report {

/// What a session's overview says about one link setting. Figures are of `on` edges.
struct SettingFigures
{
    session::SettingId id;
    stats::Summary summary;
    stats::Histogram histogram; ///< on the axis that all settings share
    std::vector<Latency> latencies; ///< that the histogram counts
    int clips = 0;
    int clipsMeasured = 0;
    int clipsDoubtful = 0; ///< whose regions were located with low confidence: look at them first
    bool operator==(const SettingFigures&) const = default;
};

/// Whether the clip's regions were located with low confidence and nobody placed them since.
[[nodiscard]] bool areRegionsDoubtful(const session::Clip& clip);

/// Figures of every setting, kept from one state of a session to the next: only settings whose
/// presses, corrections, frame rate or late limit changed are worked out anew, and histograms are
/// counted anew where the axis moved. Not for two threads at once.
///
/// Cost:   200 settings of 100 000 presses of which one clip changed: below 16 ms (compare_bench).
/// Tests:  tests/core/report/setting_figures_test.cpp
class SettingFiguresCache
{
public:
    /// In the session's order, with their histograms on one axis. Valid until the next call.
    [[nodiscard]] const std::vector<SettingFigures>& update(const session::Session& session);

private:
    /// What the figures of a clip come from.
    struct ClipKey
    {
        session::RunId run;
        session::ClipId clip;
        session::SharedValue<session::ClipMeasurement> measurement;
        std::vector<session::PressCorrection> corrections;
    };

    struct Kept
    {
        std::vector<ClipKey> clips;
        std::optional<FrameRate> linkFrameRate;
        std::optional<Latency> lateLimit;
        SettingFigures figures;
    };

    [[nodiscard]] static bool isSame(const Kept& kept, const Kept& now);
    static void fill(const session::Session& session, Kept& setting);

    std::map<std::int64_t, Kept> m_kept; ///< by the setting's id
    std::vector<SettingFigures> m_figures;
};

} // namespace twinlamp::report
