// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <vector>

namespace twinlamp {

/// A statement as an id and its values. `english` turns it into words; the window may translate the
/// id instead.
struct Sentence
{
    std::string id;
    std::vector<std::string> values; ///< fill {0}, {1}, … of the id's text, in order
    bool operator==(const Sentence&) const = default;
};

/// Text of the one English table, with the values filled in; the id itself where the table lacks
/// it.
[[nodiscard]] std::string english(const Sentence& sentence);

} // namespace twinlamp
