// SPDX-License-Identifier: GPL-3.0-or-later
// Films, measures and compares many random scenes of each class and prints the table of
// DEVELOPERS.md. Arguments: presses a class (2000), part of the classes' names (all), seed (1),
// without-panel.
#include "tests/accuracy/class_tally.h"

#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

namespace twinlamp::accuracy {

namespace {

constexpr int pressesPerClip = 12; // on and off each
// The bound costs as much as the rest: every eighth clip has it.
constexpr std::uint64_t boundEvery = 8;

/// What is run of each class.
struct Run
{
    int presses = 2000;
    std::uint64_t seed = 1;
    bool withPanel = true;
};

struct Result
{
    ClipScore score;
    EdgeBounds bounds;
};

Result runOne(const SceneClass& kind, std::uint64_t seed, bool withPanel)
{
    const Trial trial = drawTrial(kind, seed, pressesPerClip);
    const bool bounded = kind.kind == Kind::Clean && seed % boundEvery == 0;
    return {runTrial(trial, withPanel), bounded ? edgeBounds(trial.scene) : EdgeBounds {}};
}

/// Seeds are numbered, clip by clip; what is added does not depend on the threads.
ClassTally runClass(const SceneClass& kind, const Run& run)
{
    const int clips = (run.presses + 2 * pressesPerClip - 1) / (2 * pressesPerClip);
    std::vector<Result> results(static_cast<std::size_t>(clips));
    std::atomic<std::size_t> next {0};
    {
        std::vector<std::jthread> threads;
        for (unsigned t = 0; t < std::max(1U, std::thread::hardware_concurrency()); ++t) {
            threads.emplace_back([&] {
                for (std::size_t i = next++; i < results.size(); i = next++) {
                    results[i] = runOne(kind, run.seed + i, run.withPanel);
                }
            });
        }
    }
    ClassTally tally;
    for (const Result& result : results) {
        tally.add(result.score, result.bounds);
    }
    return tally;
}

} // namespace

} // namespace twinlamp::accuracy

int main(int count, char** arguments)
{
    using namespace twinlamp::accuracy;
    const std::vector<std::string> given(arguments + 1, arguments + count);
    const std::string part = given.size() > 1 ? given[1] : "";
    Run run;
    run.presses = given.empty() ? run.presses : std::atoi(given[0].c_str());
    run.seed = given.size() > 2 ? std::strtoull(given[2].c_str(), nullptr, 10) : run.seed;
    run.withPanel = given.size() < 4 || given[3] != "without-panel";
    if (run.presses <= 0) {
        std::fputs(
            "usage: twinlamp_accuracy_table [PRESSES [PART_OF_A_NAME [SEED [without-panel]]]]\n",
            stderr);
        return EXIT_FAILURE;
    }
    std::fputs(tableHead().c_str(), stdout);
    for (const SceneClass& kind : sceneClasses()) {
        if (std::string_view(kind.name).find(part) != std::string_view::npos || part == kind.id) {
            std::fputs(tableRow(kind, runClass(kind, run)).c_str(), stdout);
            std::fflush(stdout);
        }
    }
    return EXIT_SUCCESS;
}
