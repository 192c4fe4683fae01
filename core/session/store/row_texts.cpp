// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/row_texts.h"

#include "core/session/store/sql_row.h"

#include <nlohmann/json.hpp>

namespace twinlamp::session::store {

using Json = nlohmann::json;

std::string_view takeWord(std::string_view& text)
{
    const std::size_t end = text.find(' ');
    const std::string_view word = text.substr(0, end);
    text = end == std::string_view::npos ? std::string_view {} : text.substr(end + 1);
    return word;
}

std::string flagsText(const Flags& flags)
{
    std::string text;
    for (const Flag flag : flags) {
        text += text.empty() ? "" : " ";
        text += flagId(flag);
    }
    return text;
}

Flags flagsFrom(std::string_view text)
{
    Flags flags;
    while (!text.empty()) {
        const std::string_view word = takeWord(text);
        const auto flag = flagFromId(word);
        if (!flag) {
            throw DamagedSession("an unknown flag, \"" + std::string(word) + "\"");
        }
        flags.push_back(*flag);
    }
    return flags;
}

std::string notesText(const std::vector<Sentence>& notes)
{
    Json list = Json::array();
    for (const Sentence& note : notes) {
        list.push_back({{"id", note.id}, {"values", note.values}});
    }
    // A file name in a note may be of bytes that are no UTF-8.
    return list.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::vector<Sentence> notesFrom(const std::string& text)
{
    std::vector<Sentence> notes;
    for (const Json& note : Json::parse(text)) {
        notes.push_back(
            {note.at("id").get<std::string>(), note.at("values").get<std::vector<std::string>>()});
    }
    return notes;
}

} // namespace twinlamp::session::store
