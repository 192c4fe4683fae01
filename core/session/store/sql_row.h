// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/quad_px.h"
#include "core/base/units.h"
#include "core/base/wire_names.h"
#include "core/session/ids.h"

#include <SQLiteCpp/SQLiteCpp.h>
#include <cstdint>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>

namespace twinlamp::session::store {

/// Something in the file does not mean what it must; becomes Session/Damaged at the adapter.
class DamagedSession : public std::runtime_error
{
public:
    using std::runtime_error::runtime_error;
};

/// Binds the parameters of a statement from left to right.
class Binder
{
public:
    explicit Binder(SQLite::Statement& statement)
        : m_statement(statement)
    {
        m_statement.reset();
        m_statement.clearBindings();
    }

    Binder& operator<<(std::int64_t value)
    {
        m_statement.bind(m_next++, static_cast<int64_t>(value));
        return *this;
    }

    Binder& operator<<(int value) { return *this << std::int64_t {value}; }

    Binder& operator<<(bool value) { return *this << std::int64_t {value ? 1 : 0}; }

    /// A value that is not a number becomes NULL: SQLite has none.
    Binder& operator<<(double value)
    {
        m_statement.bind(m_next++, value);
        return *this;
    }

    Binder& operator<<(const std::string& value)
    {
        m_statement.bind(m_next++, value);
        return *this;
    }

    Binder& operator<<(std::string_view value) { return *this << std::string(value); }

    Binder& operator<<(const char* value) { return *this << std::string(value); }

    Binder& operator<<(Latency value) { return *this << value.ns; }

    Binder& operator<<(RealTime value) { return *this << value.ns; }

    Binder& operator<<(RectPx rect)
    {
        return *this << rect.x << rect.y << rect.width << rect.height;
    }

    Binder& operator<<(const QuadPx& quad) { return *this << toText(quad); }

    template<typename Tag> Binder& operator<<(Id<Tag> id) { return *this << id.value; }

    template<typename T>

    requires std::is_enum_v<T> Binder& operator<<(T value) { return *this << wireName(value); }

    template<typename T> Binder& operator<<(const std::optional<T>& value)
    {
        return value ? *this << *value : null();
    }

    Binder& operator<<(const std::optional<RectPx>& rect)
    {
        return rect ? *this << *rect : null().null().null().null();
    }

    /// An id of no entry: NULL, so that foreign keys leave it alone.
    template<typename Tag> Binder& orNull(Id<Tag> id) { return id ? *this << id : null(); }

    Binder& blob(const std::string& bytes)
    {
        m_statement.bind(m_next++, bytes.data(), static_cast<int>(bytes.size()));
        return *this;
    }

    Binder& null()
    {
        m_statement.bind(m_next++);
        return *this;
    }

    void run() { m_statement.exec(); }

private:
    SQLite::Statement& m_statement;
    int m_next = 1;
};

/// Reads the columns of a row from left to right.
class Reader
{
public:
    explicit Reader(SQLite::Statement& statement)
        : m_statement(statement)
    {
    }

    Reader& operator>>(std::int64_t& value)
    {
        value = next().getInt64();
        return *this;
    }

    Reader& operator>>(int& value)
    {
        value = next().getInt();
        return *this;
    }

    Reader& operator>>(bool& value)
    {
        value = next().getInt() != 0;
        return *this;
    }

    Reader& operator>>(double& value)
    {
        value = next().getDouble();
        return *this;
    }

    Reader& operator>>(std::string& value)
    {
        value = next().getString();
        return *this;
    }

    Reader& operator>>(Latency& value) { return *this >> value.ns; }

    Reader& operator>>(RealTime& value) { return *this >> value.ns; }

    Reader& operator>>(RectPx& rect)
    {
        return *this >> rect.x >> rect.y >> rect.width >> rect.height;
    }

    Reader& operator>>(QuadPx& quad)
    {
        const std::string text = next().getString();
        const auto read = parseQuad(text);
        if (!read) {
            throw DamagedSession("corners that are none, \"" + text + "\"");
        }
        quad = *read;
        return *this;
    }

    template<typename Tag> Reader& operator>>(Id<Tag>& id) { return *this >> id.value; }

    template<typename T>

    requires std::is_enum_v<T> Reader& operator>>(T& value)
    {
        const std::string name = next().getString();
        const auto known = fromWireName<T>(name);
        if (!known) {
            throw DamagedSession("an unknown word, \"" + name + "\"");
        }
        value = *known;
        return *this;
    }

    template<typename T> Reader& operator>>(std::optional<T>& value)
    {
        if (isNull()) {
            skip(columnsOf<T>);
            value.reset();
            return *this;
        }
        T present {};
        *this >> present;
        value = std::move(present);
        return *this;
    }

    [[nodiscard]] SQLite::Column next() { return m_statement.getColumn(m_next++); }

    void skip(int columns) { m_next += columns; }

    [[nodiscard]] bool isNull() const { return m_statement.getColumn(m_next).isNull(); }

private:
    template<typename T>
    static constexpr int columnsOf = std::is_same_v<T, RectPx> ? 4
        : std::is_same_v<T, FrameRate>                         ? 2
                                                               : 1;

    SQLite::Statement& m_statement;
    int m_next = 0;
};

inline Binder& operator<<(Binder& binder, FrameRate rate) { return binder << rate.num << rate.den; }

inline Binder& operator<<(Binder& binder, const std::optional<FrameRate>& rate)
{
    return rate ? binder << *rate : binder.null().null();
}

inline Reader& operator>>(Reader& reader, FrameRate& rate)
{
    return reader >> rate.num >> rate.den;
}

/// "INSERT INTO table (columns) VALUES (?, …)", one parameter a column.
[[nodiscard]] std::string insertInto(std::string_view table, std::string_view columns);

/// The same, and over the row of the same id where there is one. @pre the first column is `id`
[[nodiscard]] std::string upsert(std::string_view table, std::string_view columns);

} // namespace twinlamp::session::store
