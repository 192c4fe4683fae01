// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/impersonal_copy.h"

#include "core/session/store/clip_rows.h"
#include "core/session/store/database.h"
#include "core/session/store/history_rows.h"
#include "core/session/store/sql_row.h"

#include <array>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace twinlamp::session::store {

namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

/// Whether a path tells more than the way down from the session's folder.
bool leadsOutside(const std::string& path)
{
    const fs::path normal = fs::path(path).lexically_normal();
    return normal.is_absolute() || (!normal.empty() && *normal.begin() == "..");
}

std::string impersonalPath(const std::string& path)
{
    return leadsOutside(path) ? fs::path(path).filename().string() : path;
}

/// Folders that lead outside, longest first, so that none is left in part.
class Folders
{
public:
    void addFolder(const fs::path& folder)
    {
        // The root folder stands in texts as a mere slash.
        if (folder.has_relative_path() && leadsOutside(folder.string())) {
            m_folders.insert(folder.string() + "/");
        }
    }

    void addFile(const std::string& file) { addFolder(fs::path(file).parent_path()); }

    void takeOutOf(std::string& text) const
    {
        for (const std::string& folder : m_folders) {
            for (std::size_t at = text.find(folder); at != std::string::npos;
                 at = text.find(folder, at)) {
                text.erase(at, folder.size());
            }
        }
    }

    void takeOutOf(Json& json) const
    {
        if (json.is_string()) {
            takeOutOf(json.get_ref<std::string&>());
            return;
        }
        if (json.is_structured()) {
            for (Json& each : json) {
                takeOutOf(each);
            }
        }
    }

private:
    struct LongerFirst
    {
        bool operator()(const std::string& a, const std::string& b) const
        {
            return a.size() != b.size() ? a.size() > b.size() : a < b;
        }
    };

    std::set<std::string, LongerFirst> m_folders;
};

/// A column, in a table that has a rowid.
struct Column
{
    const char* table;
    const char* name;
};

std::vector<std::pair<std::int64_t, std::string>> textsIn(
    SQLite::Database& database, const Column& column)
{
    SQLite::Statement select(
        database, std::string("SELECT rowid, ") + column.name + " FROM " + column.table);
    std::vector<std::pair<std::int64_t, std::string>> texts;
    while (select.executeStep()) {
        texts.emplace_back(select.getColumn(0).getInt64(), select.getColumn(1).getString());
    }
    return texts;
}

template<typename Change>
void changeTexts(SQLite::Database& database, const Column& column, const Change& change)
{
    SQLite::Statement update(database,
        std::string("UPDATE ") + column.table + " SET " + column.name + " = ? WHERE rowid = ?");
    for (auto& [row, text] : textsIn(database, column)) {
        std::string changed = change(text);
        if (changed != text) {
            Binder bound(update);
            bound << changed << std::int64_t {row};
            bound.run();
        }
    }
}

constexpr std::array<Column, 2> files {{{"measurements", "file"}, {"rig_checks", "file"}}};
constexpr std::array<Column, 4> texts {{{"measurements", "notes_json"},
    {"rig_checks", "notes_json"}, {"history", "label_json"}, {"history", "changes_json"}}};

Folders foldersOf(SQLite::Database& database, const Session& session, const fs::path& folder)
{
    Folders folders;
    folders.addFolder(folder);
    for (const Clip& clip : session.clips) {
        folders.addFile(clip.file.absolutePath);
        folders.addFile(clip.file.relativePath);
    }
    for (const Column& column : files) {
        for (const auto& [row, file] : textsIn(database, column)) {
            folders.addFile(file);
        }
    }
    // Where clips were before: the history has it.
    for (const HistoryEntry& entry : loadHistory(database)) {
        for (const FieldChange& change : entry.changes) {
            if (change.field == "file") {
                folders.addFile(change.from.value_or(""));
                folders.addFile(change.to.value_or(""));
            }
        }
    }
    return folders;
}

} // namespace

void dropPersons(const fs::path& copy, const Session& session, const fs::path& folder)
{
    const auto database = connect(copy, Access::Write);
    {
        SQLite::Transaction transaction(*database);
        const Folders folders = foldersOf(*database, session, folder);
        for (const Clip& clip : session.clips) {
            Clip moved = clip;
            const std::string& path
                = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
            moved.file.relativePath = impersonalPath(path);
            moved.file.absolutePath.clear();
            write(*database, moved, clip);
        }
        for (const Column& column : files) {
            changeTexts(*database, column, impersonalPath);
        }
        for (const Column& column : texts) {
            changeTexts(*database, column, [&folders](const std::string& text) {
                Json json = Json::parse(text);
                folders.takeOutOf(json);
                return json.dump();
            });
        }
        database->exec("UPDATE history SET who = ''");
        transaction.commit();
    }
    // What was taken out still lies in the pages until they are written anew.
    database->exec("VACUUM");
}

} // namespace twinlamp::session::store
