// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/window_light.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::onset {

WindowLight::WindowLight(const TimedTrace& trace, const AnswerWindow& window)
{
    const std::size_t most = window.lastFrame - window.firstFrame;
    m_light.reserve(most);
    m_timeMs.reserve(most);
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        if (std::isfinite(trace.light[k])) {
            m_light.push_back(static_cast<double>(trace.light[k]));
            // The region's rows start one after another; its mean row stands for it.
            m_timeMs.push_back(trace.startMs[k] + trace.rows.meanRowMs());
        }
    }
    m_sumFrom.assign(m_light.size() + 1, 0.0);
    for (std::size_t i = m_light.size(); i-- > 0;) {
        m_sumFrom[i] = m_sumFrom[i + 1] + m_light[i];
        m_squares += m_light[i] * m_light[i];
    }
    if (m_timeMs.size() > 1) {
        m_framesPerMs
            = static_cast<double>(m_timeMs.size() - 1) / (m_timeMs.back() - m_timeMs.front());
    }
}

std::size_t WindowLight::firstAt(double timeMs) const
{
    // Frames come evenly but for lost ones: near the place where an even clock has it.
    const std::size_t count = m_timeMs.size();
    if (count == 0 || !(timeMs > m_timeMs.front())) {
        return 0;
    }
    if (timeMs > m_timeMs.back()) {
        return count;
    }
    auto at = std::min(
        count - 1, static_cast<std::size_t>((timeMs - m_timeMs.front()) * m_framesPerMs));
    while (m_timeMs[at] < timeMs) {
        ++at;
    }
    while (m_timeMs[at - 1] >= timeMs) {
        --at;
    }
    return at;
}

} // namespace twinlamp::onset
