// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "tests/support/temporary_folder.h"

#include <locale>
#include <string>

namespace twinlamp::tests {

/// While it lives, C and C++ print numbers as German does: a comma for the decimal sign, points
/// between thousands. Builds the locale itself (package `locales`), whatever the system has.
class CommaLocale
{
public:
    CommaLocale();
    ~CommaLocale();
    CommaLocale(const CommaLocale&) = delete;
    CommaLocale& operator=(const CommaLocale&) = delete;

    /// False where the locale could not be built: skip the test then, and say so.
    [[nodiscard]] bool isSet() const { return m_isSet; }

private:
    TemporaryFolder m_folder;
    std::string m_before;
    std::locale m_cppBefore;
    bool m_isSet = false;
};

} // namespace twinlamp::tests
