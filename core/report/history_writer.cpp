// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/history_writer.h"

#include "core/base/version.h"

#include <algorithm>

namespace twinlamp::report {

namespace {

Json orNull(const std::optional<std::string>& text) { return text ? Json(*text) : Json(nullptr); }

/// Notes of several lines stay one line of the list.
std::string onOneLine(const std::optional<std::string>& text)
{
    std::string line = text.value_or("nothing");
    std::ranges::replace(line, '\n', ' ');
    return line;
}

} // namespace

Json historyJson(const std::vector<session::HistoryEntry>& history)
{
    Json entries = Json::array();
    for (const session::HistoryEntry& entry : history) {
        Json changes = Json::array();
        for (const session::FieldChange& change : entry.changes) {
            changes.push_back({{"kind", change.kind}, {"entry", change.entry},
                {"field", change.field}, {"from", orNull(change.from)}, {"to", orNull(change.to)}});
        }
        entries.push_back({{"at", entry.at}, {"who", entry.who},
            {"program_version", entry.programVersion}, {"what", english(entry.label)},
            {"undone", entry.takenBack}, {"changes", std::move(changes)}});
    }
    return {
        {"tool", "twinlamp"}, {"version", std::string(version())}, {"entries", std::move(entries)}};
}

std::string historyText(const std::vector<session::HistoryEntry>& history)
{
    if (history.empty()) {
        return "Nothing was changed since this session keeps a history.\n";
    }
    std::string text;
    for (const session::HistoryEntry& entry : history) {
        text += entry.at + "  " + entry.who + "  " + (entry.takenBack ? "undone: " : "")
            + onOneLine(english(entry.label)) + "\n";
        for (const session::FieldChange& change : entry.changes) {
            text += "    " + change.kind + " " + onOneLine(change.entry) + ", " + change.field
                + ": " + onOneLine(change.from) + " -> " + onOneLine(change.to) + "\n";
        }
    }
    return text;
}

} // namespace twinlamp::report
