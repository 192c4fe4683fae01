// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>

namespace twinlamp::bench {

/// The yardstick of random access: libav alone seeks to the keyframe that is nearest before a stamp
/// and decodes up to it, with one thread, no index and no cache.
class PlainAccess
{
public:
    explicit PlainAccess(const std::filesystem::path& clip);
    ~PlainAccess();
    PlainAccess(const PlainAccess&) = delete;
    PlainAccess& operator=(const PlainAccess&) = delete;

    /// False where the picture of that stamp did not come out.
    [[nodiscard]] bool decode(std::int64_t keyframePts, std::int64_t pts);

private:
    struct State;
    std::unique_ptr<State> m_state;
};

} // namespace twinlamp::bench
