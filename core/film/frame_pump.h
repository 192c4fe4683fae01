// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/frame_renderer.h"
#include "core/film/studio.h"

#include <array>
#include <condition_variable>
#include <mutex>
#include <thread>

namespace twinlamp::film {

/// Renders a studio's frames in order on a thread of its own, a few ahead of whoever takes them, so
/// that rendering and encoding share two cores. The pictures are those of FrameRenderer.
class FramePump
{
public:
    explicit FramePump(const Studio& studio);
    FramePump(const FramePump&) = delete;
    FramePump& operator=(const FramePump&) = delete;
    /// Stops the thread, whether all frames were taken or not.
    ~FramePump();

    /// The next frame, waited for; valid until the next call. Null after the last.
    [[nodiscard]] const CodedPicture* next();

private:
    void render(const std::stop_token& stop);

    static constexpr std::size_t slotCount = 4;

    const Studio* m_studio;
    std::array<CodedPicture, slotCount> m_slots;
    std::mutex m_mutex;
    std::condition_variable_any m_changed;
    std::size_t m_rendered = 0; ///< frames that lie or lay in a slot
    std::size_t m_taken = 0; ///< frames handed out, the one in use included
    std::jthread m_thread; ///< last: it starts when everything else is there
};

} // namespace twinlamp::film
