// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/footage/clip_reader.h"
#include "core/footage/frame_index.h"
#include "core/footage/frame_scan.h"
#include "core/footage/picture_access.h"
#include "core/footage/scan_plan.h"

#include <atomic>
#include <functional>
#include <memory>
#include <optional>
#include <stop_token>
#include <vector>

namespace twinlamp::footage {

/// Decodes pieces of a clip on one thread, one after another.
class ChunkDecoder
{
public:
    struct Setting
    {
        std::shared_ptr<const ClipIndex> index;
        const VisitFrame& visit;
        int worker = 0; ///< handed on to `visit`
        std::stop_token stop;
        /// Set by whoever has an error or was asked to stop; ends the work of all.
        std::atomic<bool>& stopped;
        std::function<void()> visited; ///< called behind each visit
        /// Decoders that are kept where they stopped, so that a piece which goes on from there
        /// decodes nothing twice. 0: a piece starts at its keyframe.
        std::size_t kept = 0;
    };

    explicit ChunkDecoder(Setting setting)
        : m_setting(std::move(setting))
    {
    }

    /// Visits each frame of the piece once, whatever it takes; what cannot be decoded is listed in
    /// the report. @return false where the work was stopped or cannot go on: see error()
    bool take(const ScanChunk& chunk);

    [[nodiscard]] const ScanReport& report() const { return m_report; }

    [[nodiscard]] const std::optional<Error>& error() const { return m_error; }

private:
    /// Which frames of a piece are still to come.
    struct Pending
    {
        FrameRange frames;
        std::vector<bool> done;
        std::int64_t left = 0;
    };

    struct Reader
    {
        ClipReader reader;
        int threads = 1;
        std::int64_t next = 0; ///< frames from here on are still to come out
        bool goesOn = false; ///< it was not told where to end
        std::int64_t usedAt = 0;
    };

    [[nodiscard]] bool isStopped() const
    {
        return m_setting.stopped.load(std::memory_order_relaxed);
    }

    bool openReader(int threads);
    bool takeKept(const ScanChunk& chunk, Pending& pending, bool& isPass);
    bool pass(const ScanChunk& chunk, Pending& pending, std::int64_t further);
    bool decodeOn(Pending& pending, bool endsByItself);
    bool deliver(Pending& pending);
    bool fetchKeptBack(Pending& pending);
    void noteMissing(const Pending& pending, const std::string& error);
    void stopWith(Error error);

    Setting m_setting;
    std::vector<Reader> m_readers; ///< one, or as many as are kept
    std::size_t m_current = 0;
    std::int64_t m_uses = 0;
    PictureAccess m_access;
    ScanReport m_report;
    std::optional<Error> m_error;
};

} // namespace twinlamp::footage
