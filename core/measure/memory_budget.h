// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <stop_token>

namespace twinlamp::measure {

/// Memory that measurements running at once may take together. Any thread may ask.
/// Tests: tests/core/measure/memory_budget_test.cpp
class MemoryBudget
{
public:
    explicit MemoryBudget(std::int64_t bytes)
        : m_bytes(bytes)
    {
    }

    /// What one measurement has been granted; given back when it dies.
    class Share
    {
    public:
        Share(MemoryBudget& budget, std::int64_t bytes)
            : m_budget(&budget)
            , m_bytes(bytes)
        {
        }

        Share(Share&& other) noexcept;
        Share(const Share&) = delete;
        Share& operator=(const Share&) = delete;
        Share& operator=(Share&&) = delete;
        ~Share();

    private:
        MemoryBudget* m_budget;
        std::int64_t m_bytes;
    };

    /// Waits until so much is free. What is larger than the whole budget waits until it is alone:
    /// one measurement can always run.
    /// @return nothing where the stop was asked for
    [[nodiscard]] std::optional<Share> take(std::int64_t bytes, const std::stop_token& stop);

    [[nodiscard]] std::int64_t taken() const;

private:
    void giveBack(std::int64_t bytes);

    mutable std::mutex m_mutex;
    std::condition_variable_any m_changed;
    std::int64_t m_bytes;
    std::int64_t m_taken = 0;
    int m_shares = 0;
};

/// The one of this process: a quarter of the machine's memory, 512 MB at least.
[[nodiscard]] MemoryBudget& scanMemoryBudget();

} // namespace twinlamp::measure
