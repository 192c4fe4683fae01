// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/memory_budget.h"

#include <algorithm>
#include <unistd.h>
#include <utility>

namespace twinlamp::measure {

namespace {

std::int64_t usualBudget()
{
    constexpr std::int64_t least = 512'000'000;
    constexpr std::int64_t part = 4;
    return std::max(least,
        std::int64_t {::sysconf(_SC_PHYS_PAGES)} * std::int64_t {::sysconf(_SC_PAGESIZE)} / part);
}

} // namespace

MemoryBudget::Share::Share(Share&& other) noexcept
    : m_budget(std::exchange(other.m_budget, nullptr))
    , m_bytes(other.m_bytes)
{
}

MemoryBudget::Share::~Share()
{
    if (m_budget != nullptr) {
        m_budget->giveBack(m_bytes);
    }
}

std::optional<MemoryBudget::Share> MemoryBudget::take(
    std::int64_t bytes, const std::stop_token& stop)
{
    std::unique_lock lock(m_mutex);
    const bool granted
        = m_changed.wait(lock, stop, [&] { return m_shares == 0 || m_taken + bytes <= m_bytes; });
    if (!granted || stop.stop_requested()) {
        return std::nullopt;
    }
    m_taken += bytes;
    ++m_shares;
    return std::optional<Share>(std::in_place, *this, bytes);
}

std::int64_t MemoryBudget::taken() const
{
    const std::scoped_lock lock(m_mutex);
    return m_taken;
}

void MemoryBudget::giveBack(std::int64_t bytes)
{
    {
        const std::scoped_lock lock(m_mutex);
        m_taken -= bytes;
        --m_shares;
    }
    m_changed.notify_all();
}

MemoryBudget& scanMemoryBudget()
{
    static MemoryBudget budget(usualBudget());
    return budget;
}

} // namespace twinlamp::measure
