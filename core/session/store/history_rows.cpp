// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/history_rows.h"

#include "core/session/store/row_texts.h"
#include "core/session/store/sql_row.h"

#include <nlohmann/json.hpp>

namespace twinlamp::session::store {

namespace {

using Json = nlohmann::json;

constexpr std::string_view historyColumns
    = "id, made_at, who, program_version, label_json, taken_back, changes_json";

Json orNull(const std::optional<std::string>& text) { return text ? Json(*text) : Json(nullptr); }

std::optional<std::string> fromNull(const Json& json)
{
    return json.is_null() ? std::nullopt : std::optional(json.get<std::string>());
}

/// [[kind, entry, field, from, to], …]: short, because every change of a campaign is kept.
std::string changesText(const std::vector<FieldChange>& changes)
{
    Json list = Json::array();
    for (const FieldChange& change : changes) {
        list.push_back(
            {change.kind, change.entry, change.field, orNull(change.from), orNull(change.to)});
    }
    // A file name may be of bytes that are no UTF-8.
    return list.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::vector<FieldChange> changesFrom(const std::string& text)
{
    std::vector<FieldChange> changes;
    for (const Json& change : Json::parse(text)) {
        changes.push_back({change.at(0).get<std::string>(), change.at(1).get<std::string>(),
            change.at(2).get<std::string>(), fromNull(change.at(3)), fromNull(change.at(4))});
    }
    return changes;
}

Sentence labelFrom(const std::string& text)
{
    const std::vector<Sentence> one = notesFrom(text);
    if (one.size() != 1) {
        throw DamagedSession("a change without a name");
    }
    return one.front();
}

} // namespace

bool insertHistory(SQLite::Database& database, const HistoryEntry& entry)
{
    SQLite::Statement insert(
        database, insertInto("history", historyColumns) + " ON CONFLICT (id) DO NOTHING");
    Binder row(insert);
    row << entry.id << entry.at << entry.who << entry.programVersion << notesText({entry.label})
        << entry.takenBack << changesText(entry.changes);
    return insert.exec() == 1;
}

std::vector<HistoryEntry> loadHistory(SQLite::Database& database)
{
    SQLite::Statement select(database,
        "SELECT " + std::string(historyColumns) + " FROM history ORDER BY made_at, number");
    std::vector<HistoryEntry> history;
    while (select.executeStep()) {
        HistoryEntry& entry = history.emplace_back();
        std::string label;
        std::string changes;
        Reader row(select);
        row >> entry.id >> entry.at >> entry.who >> entry.programVersion >> label >> entry.takenBack
            >> changes;
        entry.label = labelFrom(label);
        entry.changes = changesFrom(changes);
    }
    return history;
}

} // namespace twinlamp::session::store
