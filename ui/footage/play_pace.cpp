// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/footage/play_pace.h"

#include "core/base/contracts.h"

#include <QRegularExpression>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

PlayPace::PlayPace(FrameIndex start, double framesPerSecond, std::int64_t frameCount)
    : m_start(start)
    , m_framesPerSecond(framesPerSecond)
    , m_frameCount(frameCount)
{
    TL_EXPECTS(framesPerSecond > 0.0);
}

FrameIndex PlayPace::due(std::int64_t elapsedNs) const
{
    const double steps = std::floor(static_cast<double>(elapsedNs) * 1e-9 * m_framesPerSecond);
    const double last = static_cast<double>(std::max<std::int64_t>(0, m_frameCount - 1));
    return {static_cast<std::int64_t>(
        std::min(last, static_cast<double>(m_start.value) + std::max(0.0, steps)))};
}

bool PlayPace::isOver(std::int64_t elapsedNs) const
{
    return due(elapsedNs).value >= m_frameCount - 1;
}

std::optional<PlaceInClip> parsePlace(const QString& text)
{
    static const QRegularExpression form(
        QStringLiteral(R"(^\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*(ms|s)?\s*$)"));
    const auto match = form.match(text);
    if (!match.hasMatch()) {
        return std::nullopt;
    }
    QString number = match.captured(1);
    number.replace(QLatin1Char(','), QLatin1Char('.'));
    const QString unit = match.captured(2);
    if (unit.isEmpty()) {
        bool whole = false;
        const qlonglong frame = number.toLongLong(&whole);
        return whole ? std::optional<PlaceInClip>({FrameIndex {frame}, std::nullopt})
                     : std::nullopt;
    }
    const double ms = number.toDouble() * (unit == QLatin1String("s") ? 1e3 : 1.0);
    constexpr double longestMs = 1e9;
    return ms <= longestMs ? std::optional<PlaceInClip>({std::nullopt, realTimeFromMs(ms)})
                           : std::nullopt;
}

} // namespace twinlamp::ui
