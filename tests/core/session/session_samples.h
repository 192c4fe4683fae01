// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"
#include "core/session/session.h"
#include "core/session/store/session_file.h"

#include <filesystem>
#include <random>

/// Invented sessions for tests.
namespace twinlamp::session::samples {

using Random = std::mt19937_64;

/// A folder of its own that goes away with the object.
class TemporaryFolder
{
public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return m_path; }

    [[nodiscard]] std::filesystem::path operator/(const char* name) const { return m_path / name; }

    /// Names of what is in it, sorted.
    [[nodiscard]] std::vector<std::string> names() const;

private:
    std::filesystem::path m_path;
};

/// A press with every field filled, or with what a lost answer has.
[[nodiscard]] Press press(int index, double onsetMs, std::optional<double> latencyMs);

/// A clip's result: `presses` on and off edges in turn, traces over `frames` frames.
[[nodiscard]] ClipResult clipResult(Random& random, int presses, int frames);

[[nodiscard]] Conditions conditions(Random& random);

/// An edit that fits the session as it is; may be empty. Measurements that it sets come from
/// `measurements`.
[[nodiscard]] Edit randomEdit(const Session& session, Random& random,
    const std::vector<SharedValue<ClipMeasurement>>& measurements);

/// Measurements for randomEdit, their traces kept in `file`.
[[nodiscard]] std::vector<SharedValue<ClipMeasurement>> keptMeasurements(
    store::SessionFile& file, Random& random, int count);

/// Applies and asserts; for edits that must work.
void mustApply(store::SessionFile& file, const Result<Edit>& edit);

} // namespace twinlamp::session::samples
