// SPDX-License-Identifier: GPL-3.0-or-later
// Parts of the English table behind sentence.h.
#pragma once

#include <span>
#include <string_view>
#include <utility>

namespace twinlamp {

/// Id and text.
using SentenceRow = std::pair<std::string_view, std::string_view>;

[[nodiscard]] std::span<const SentenceRow> comparisonSentenceRows();
[[nodiscard]] std::span<const SentenceRow> sessionSentenceRows();

} // namespace twinlamp
