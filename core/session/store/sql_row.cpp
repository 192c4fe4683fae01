// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/sql_row.h"

#include <vector>

namespace twinlamp::session::store {

namespace {

std::vector<std::string> namesOf(std::string_view columns)
{
    std::vector<std::string> names;
    constexpr std::string_view separator = ", ";
    while (!columns.empty()) {
        const std::size_t end = columns.find(separator);
        names.emplace_back(columns.substr(0, end));
        columns = end == std::string_view::npos ? std::string_view {}
                                                : columns.substr(end + separator.size());
    }
    return names;
}

} // namespace

std::string insertInto(std::string_view table, std::string_view columns)
{
    std::string sql
        = "INSERT INTO " + std::string(table) + " (" + std::string(columns) + ") VALUES (";
    for (std::size_t i = 0; i < namesOf(columns).size(); ++i) {
        sql += i == 0 ? "?" : ", ?";
    }
    return sql + ")";
}

std::string upsert(std::string_view table, std::string_view columns)
{
    // Not REPLACE: that deletes the old row, and with it everything that refers to it.
    std::string sql = insertInto(table, columns) + " ON CONFLICT (id) DO UPDATE SET ";
    bool first = true;
    for (const std::string& name : namesOf(columns)) {
        if (name != "id") {
            sql.append(first ? "" : ", ").append(name).append(" = excluded.").append(name);
            first = false;
        }
    }
    return sql;
}

} // namespace twinlamp::session::store
