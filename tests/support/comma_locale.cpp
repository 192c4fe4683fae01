// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/comma_locale.h"

#include "tests/support/program.h"

#include <clocale>
#include <cstdlib>

namespace twinlamp::tests {

namespace {

/// For C++ streams. Not std::locale("de_DE.UTF-8"): glibc 2.36 leaks when it searches LOCPATH for
/// that one, which the leak check then blames on the test.
class CommaPunctuation : public std::numpunct<char>
{
protected:
    [[nodiscard]] char do_decimal_point() const override { return ','; }

    [[nodiscard]] char do_thousands_sep() const override { return '.'; }

    [[nodiscard]] std::string do_grouping() const override { return "\3"; }
};

} // namespace

CommaLocale::CommaLocale()
    : m_before(std::setlocale(LC_ALL, nullptr))
{
    constexpr const char* name = "de_DE.UTF-8";
    const ProgramRun built = runProgram("/usr/bin/localedef",
        {"--no-archive", "-i", "de_DE", "-f", "UTF-8", (m_folder / name).string()});
    if (built.status != 0) {
        return;
    }
    ::setenv("LOCPATH", m_folder.path().c_str(), 1);
    if (std::setlocale(LC_ALL, name) == nullptr) {
        return;
    }
    m_cppBefore = std::locale::global(
        std::locale(std::locale::classic(), new CommaPunctuation)); // the locale owns it
    m_isSet = true;
}

CommaLocale::~CommaLocale()
{
    if (m_isSet) {
        std::locale::global(m_cppBefore);
    }
    std::setlocale(LC_ALL, m_before.c_str());
    ::unsetenv("LOCPATH");
}

} // namespace twinlamp::tests
