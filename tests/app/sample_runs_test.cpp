// SPDX-License-Identifier: GPL-3.0-or-later
// What app/run does without a display, with a program that only tells what it was asked.
#include "tests/support/program.h"
#include "tests/support/temporary_folder.h"

#include <filesystem>
#include <fstream>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace twinlamp::tests {

namespace {

/// Runs measure_samples with a program that prints its words and ends with the status.
ProgramRun measureSamples(const std::string& status)
{
    const TemporaryFolder folder;
    const auto program = folder.path() / "program";
    std::ofstream(program) << "#!/bin/sh\necho \"asked: $*\"\nexit " << status << "\n";
    std::filesystem::permissions(program, std::filesystem::perms::owner_all);
    return runProgram("/bin/bash",
        {"-c",
            "set -euo pipefail; root=$1 program=$2 samples=/clips; source "
            "\"$root/app/setup.bash\"; "
            "source \"$root/app/samples.bash\"; measure_samples",
            "bash", TWINLAMP_SOURCE_FOLDER, program.string()},
        {});
}

std::size_t timesAsked(const ProgramRun& run)
{
    std::size_t count = 0;
    for (auto at = run.out.find("asked: "); at != std::string::npos;
         at = run.out.find("asked: ", at + 1)) {
        ++count;
    }
    return count;
}

} // namespace

TEST(SampleRuns, AreAllMeasuredInTheOrderOfTheList)
{
    const auto run = measureSamples("0");
    EXPECT_EQ(run.status, 0) << run.err;
    EXPECT_EQ(timesAsked(run), 9U) << "three settings of three runs";
    EXPECT_LT(run.out.find("asked: measure /clips/tarn-run-1.mp4"),
        run.out.find("asked: measure /clips/mere-run-3.mp4"));
}

TEST(SampleRuns, AClipThatFailsKeepsNoneOfTheOthersBack)
{
    const auto run = measureSamples("4");
    EXPECT_EQ(run.status, 4);
    EXPECT_EQ(timesAsked(run), 9U);
}

TEST(SampleRuns, EndWhereTheProgramWasStopped)
{
    const auto run = measureSamples("130");
    EXPECT_EQ(run.status, 130);
    EXPECT_EQ(timesAsked(run), 1U);
}

} // namespace twinlamp::tests
