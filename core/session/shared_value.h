// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <utility>

namespace twinlamp::session {

/// A value that is large and never changed: copies share it, equality compares what is inside.
template<typename T> class SharedValue
{
public:
    SharedValue() = default;

    SharedValue(T value)
        : m_value(std::make_shared<const T>(std::move(value)))
    {
    }

    [[nodiscard]] explicit operator bool() const { return m_value != nullptr; }

    [[nodiscard]] const T& operator*() const { return *m_value; }

    [[nodiscard]] const T* operator->() const { return m_value.get(); }

    [[nodiscard]] std::shared_ptr<const T> pointer() const { return m_value; }

    /// Same object: a quick yes; false says nothing.
    [[nodiscard]] bool sharesWith(const SharedValue& other) const
    {
        return m_value == other.m_value;
    }

    bool operator==(const SharedValue& other) const
    {
        return m_value == other.m_value
            || (m_value != nullptr && other.m_value != nullptr && *m_value == *other.m_value);
    }

private:
    std::shared_ptr<const T> m_value;
};

} // namespace twinlamp::session
