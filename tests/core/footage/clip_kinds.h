// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/core/footage/clips.h"

#include <string>
#include <vector>

namespace twinlamp::tests {

/// One codec in one container, with the way its frames depend on each other.
struct ClipKind
{
    std::string name; ///< of the test case
    std::string fileName;
    Arguments coding;
    int frames = 48;
    /// Pixel format that the program's view is equal to, where it is not the decoder's own.
    std::string viewedAs {};
};

/// All kinds that are read: codecs and containers of the issue, and the traps of each.
[[nodiscard]] const std::vector<ClipKind>& clipKinds();

[[nodiscard]] std::filesystem::path makeClip(const TemporaryFolder& folder, const ClipKind& kind);

/// For readable parameters in test listings.
void PrintTo(const ClipKind& kind, std::ostream* out);

} // namespace twinlamp::tests
