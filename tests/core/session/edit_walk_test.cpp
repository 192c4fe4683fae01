// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/session/session_samples.h"

#include <gtest/gtest.h>

namespace twinlamp::session {
namespace {

using samples::Random;

/// The session that a reader finds on disk at this moment.
Session onDisk(const std::filesystem::path& file)
{
    const auto reader = store::SessionFile::open(file, {store::OpenMode::ReadOnly, {}, {}});
    if (!reader) {
        ADD_FAILURE() << reader.error().detail;
        return {};
    }
    return reader->session();
}

class EditWalk : public ::testing::TestWithParam<unsigned>
{
};

/// Down and up a random list of edits: at each step the state in memory and the one on disk are the
/// whole expected state.
TEST_P(EditWalk, EachStepIsRestoredWholeInMemoryAndOnDisk)
{
    SCOPED_TRACE("seed " + std::to_string(GetParam()));
    Random random(GetParam());
    const samples::TemporaryFolder folder;
    auto file = store::SessionFile::create(folder / "walk.twinlamp", "walk");
    ASSERT_TRUE(file) << file.error().detail;
    const auto measurements = samples::keptMeasurements(*file, random, 4);

    std::vector<Edit> edits;
    std::vector<Session> states {file->session()};
    while (edits.size() < 150) {
        const Edit edit = samples::randomEdit(file->session(), random, measurements);
        if (edit.isEmpty()) {
            continue;
        }
        ASSERT_NE(english(edit.label), edit.label.id) << "a label without words";
        ASSERT_EQ(*applied(states.back(), edit), [&] {
            const auto done = file->apply(edit);
            EXPECT_TRUE(done) << (done ? "" : done.error().detail);
            return file->session();
        }());
        ASSERT_NE(file->session(), states.back()) << english(edit.label);
        edits.push_back(edit);
        states.push_back(file->session());
        ASSERT_EQ(onDisk(file->path()), states.back()) << english(edit.label);
    }
    for (std::size_t step = edits.size(); step-- > 0;) {
        ASSERT_TRUE(file->revert(edits[step])) << english(edits[step].label);
        ASSERT_EQ(file->session(), states[step]) << english(edits[step].label);
        ASSERT_EQ(onDisk(file->path()), states[step]) << english(edits[step].label);
    }
    for (std::size_t step = 0; step < edits.size(); ++step) {
        ASSERT_TRUE(file->apply(edits[step])) << english(edits[step].label);
        ASSERT_EQ(file->session(), states[step + 1]);
    }
    ASSERT_TRUE(file->close());
    EXPECT_EQ(folder.names(), std::vector<std::string> {"walk.twinlamp"});
    EXPECT_EQ(onDisk(file->path()), states.back());
}

INSTANTIATE_TEST_SUITE_P(Seeds, EditWalk, ::testing::Values(1U, 2U, 3U, 4U, 5U));

/// Two steps joined are one step: same end, same way back.
TEST(Composed, IsBothStepsAtOnce)
{
    Random random(42);
    const samples::TemporaryFolder folder;
    auto file = store::SessionFile::create(folder / "joined.twinlamp", "joined");
    ASSERT_TRUE(file);
    const auto measurements = samples::keptMeasurements(*file, random, 3);
    int joined = 0;
    while (joined < 300) {
        const Session start = file->session();
        const Edit first = samples::randomEdit(start, random, measurements);
        const Session middle = *applied(start, first);
        const Edit second = samples::randomEdit(middle, random, measurements);
        const Session end = *applied(middle, second);
        if (first.isEmpty() || second.isEmpty()) {
            continue;
        }
        const Edit both = composed(first, second);
        ASSERT_EQ(*applied(start, both), end)
            << english(first.label) << ", " << english(second.label);
        ASSERT_EQ(*reverted(end, both), start);
        ASSERT_TRUE(file->apply(both)) << english(first.label) << ", " << english(second.label);
        ++joined;
    }
    EXPECT_EQ(onDisk(file->path()), file->session());
}

} // namespace
} // namespace twinlamp::session
