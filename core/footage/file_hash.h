// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

struct AVSHA;

namespace twinlamp::footage {

/// SHA-256 over bytes that arrive in pieces.
class Sha256
{
public:
    Sha256();
    void add(std::span<const std::uint8_t> bytes);
    /// Lower-case hex. Ends the sum: nothing can be added after it.
    [[nodiscard]] std::string hex();

private:
    struct Free
    {
        void operator()(AVSHA* state) const;
    };

    std::unique_ptr<AVSHA, Free> m_state;
};

[[nodiscard]] std::string sha256Of(std::span<const std::uint8_t> bytes);

} // namespace twinlamp::footage
