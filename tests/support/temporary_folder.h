// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace twinlamp::tests {

/// An empty folder of its own for one test, removed with everything in it at the end.
class TemporaryFolder
{
public:
    /// In the system's folder for such things.
    TemporaryFolder();
    explicit TemporaryFolder(const std::filesystem::path& parent);
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return m_path; }

    [[nodiscard]] std::filesystem::path operator/(const std::filesystem::path& name) const
    {
        return m_path / name;
    }

    /// Names of what is in it, sorted.
    [[nodiscard]] std::vector<std::string> names() const;

private:
    std::filesystem::path m_path;
};

/// A folder in memory where the system has one, so that a sync costs nothing; for small files.
[[nodiscard]] std::filesystem::path memoryFolder();

} // namespace twinlamp::tests
