// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"
#include "core/session/session.h"
#include "core/session/store/session_file.h"
#include "tests/support/temporary_folder.h"

#include <random>

/// Invented sessions for tests.
namespace twinlamp::session::samples {

using Random = std::mt19937_64;

/// A folder for sessions: in memory where there is such a place.
class TemporaryFolder : public tests::TemporaryFolder
{
public:
    TemporaryFolder()
        : tests::TemporaryFolder(tests::memoryFolder())
    {
    }
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
