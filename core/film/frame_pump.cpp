// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/frame_pump.h"

namespace twinlamp::film {

FramePump::FramePump(const Studio& studio)
    : m_studio(&studio)
    , m_thread([this](const std::stop_token& stop) { render(stop); })
{
}

FramePump::~FramePump()
{
    m_thread.request_stop();
    m_changed.notify_all();
}

void FramePump::render(const std::stop_token& stop)
{
    FrameRenderer renderer(*m_studio);
    for (const std::int64_t frame : m_studio->cameraFrames()) {
        std::size_t slot = 0;
        {
            std::unique_lock lock(m_mutex);
            // The frame in use keeps its slot until the next one is asked for.
            const auto hasRoom = [&] { return m_rendered + 1 < m_taken + slotCount; };
            if (!m_changed.wait(lock, stop, hasRoom)) {
                return;
            }
            slot = m_rendered % slotCount;
        }
        m_slots[slot] = renderer.render(frame);
        const std::scoped_lock lock(m_mutex);
        ++m_rendered;
        m_changed.notify_all();
    }
}

const CodedPicture* FramePump::next()
{
    std::unique_lock lock(m_mutex);
    if (m_taken == m_studio->cameraFrames().size()) {
        return nullptr;
    }
    m_changed.wait(lock, [&] { return m_rendered > m_taken; });
    const CodedPicture* picture = &m_slots[m_taken % slotCount];
    ++m_taken;
    m_changed.notify_all();
    return picture;
}

} // namespace twinlamp::film
