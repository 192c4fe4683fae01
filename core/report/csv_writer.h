// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/clip_result.h"

#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::report {

/// One record as RFC 4180 has it: fields with a comma, a quote or a line break are quoted, quotes
/// doubled, CR LF at the end.
[[nodiscard]] std::string csvRecord(const std::vector<std::string>& fields);

/// Presses of one clip, a header line first. The unit stands in each header, a point is the decimal
/// sign whatever the locale, empty means not measured. The last columns repeat what the figures
/// rest on (clip, hash, capture rate, exposure, program version), so that a line that is copied
/// alone can still be checked.
[[nodiscard]] std::string pressesCsv(const ClipResult& result);

} // namespace twinlamp::report
