// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <compare>
#include <cstdint>

namespace twinlamp::session {

/// Name of an entry that never changes and is never used again. Drawn at random, so that entries of
/// two sessions keep apart when the sessions are merged. 0 is no entry.
template<typename Tag> struct Id
{
    std::int64_t value = 0;
    auto operator<=>(const Id&) const = default;

    [[nodiscard]] explicit operator bool() const { return value != 0; }
};

using RigId = Id<struct RigTag>;
using RigCheckId = Id<struct RigCheckTag>;
using SettingId = Id<struct SettingTag>;
using RunId = Id<struct RunTag>;
using ClipId = Id<struct ClipTag>;
/// Traces in the session file, see store::SessionFile::traces.
using TracesId = Id<struct TracesTag>;

/// A number in [1, 2^53) from the system's random source: also exact as a JSON number.
[[nodiscard]] std::int64_t randomIdValue();

template<typename T> [[nodiscard]] T newId() { return T {randomIdValue()}; }

} // namespace twinlamp::session
