// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace twinlamp::session::samples {

/// A disk with room for so many more bytes, for every database opened while this lives: SQLite's
/// own file layer, but for writes beyond the room, which fail as they do on a full disk.
/// One at a time. Room is not given back by what is deleted.
class FullDisk
{
public:
    explicit FullDisk(std::int64_t roomBytes);
    ~FullDisk();
    FullDisk(const FullDisk&) = delete;
    FullDisk& operator=(const FullDisk&) = delete;

    /// From now on.
    static void setRoom(std::int64_t bytes);
    /// Whether a write has failed since the room was set.
    [[nodiscard]] static bool wasHit();
};

} // namespace twinlamp::session::samples
