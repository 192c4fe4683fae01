// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/units.h"

#include <QString>

#include <optional>

namespace twinlamp::ui {

/// Which frame is due while playing. Plays to the last frame and stops: it never starts over.
class PlayPace
{
public:
    /// @param framesPerSecond  shown frames per second of the watcher's time, > 0
    PlayPace(FrameIndex start, double framesPerSecond, std::int64_t frameCount);

    /// Frame due this long after the start, never past the last one.
    [[nodiscard]] FrameIndex due(std::int64_t elapsedNs) const;
    [[nodiscard]] bool isOver(std::int64_t elapsedNs) const;

private:
    FrameIndex m_start;
    double m_framesPerSecond;
    std::int64_t m_frameCount;
};

/// What was typed into the box that goes to a place of the clip.
struct PlaceInClip
{
    std::optional<FrameIndex> frame;
    std::optional<RealTime> time;
};

/// "1200" is a frame; "1.2 s", "1200 ms" are real time; a comma serves as decimal point too.
/// Nothing where the text is neither.
[[nodiscard]] std::optional<PlaceInClip> parsePlace(const QString& text);

} // namespace twinlamp::ui
