// SPDX-License-Identifier: GPL-3.0-or-later
// Films, measures and compares many random scenes of each class and prints the table of
// DEVELOPERS.md. Arguments: presses a class (2000), part of the classes' names (all), seed (1).
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
// The panel and the bound cost four times what the lamps do: every eighth clip has them.
constexpr std::uint64_t panelEvery = 8;

struct Result
{
    ClipScore score;
    EdgeBounds bounds;
};

Result runOne(const SceneClass& kind, std::uint64_t seed)
{
    const Trial trial = drawTrial(kind, seed, pressesPerClip);
    const bool whole = seed % panelEvery == 0;
    return {runTrial(trial, whole),
        whole && kind.kind == Kind::Clean ? edgeBounds(trial.scene) : EdgeBounds {}};
}

/// Seeds are numbered from `seed`, clip by clip; what is added does not depend on the threads.
ClassTally runClass(const SceneClass& kind, int presses, std::uint64_t seed)
{
    const int clips = (presses + 2 * pressesPerClip - 1) / (2 * pressesPerClip);
    std::vector<Result> results(static_cast<std::size_t>(clips));
    std::atomic<std::size_t> next {0};
    {
        std::vector<std::jthread> threads;
        for (unsigned t = 0; t < std::max(1U, std::thread::hardware_concurrency()); ++t) {
            threads.emplace_back([&] {
                for (std::size_t i = next++; i < results.size(); i = next++) {
                    results[i] = runOne(kind, seed + i);
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
    const int presses = given.empty() ? 2000 : std::atoi(given[0].c_str());
    const std::string part = given.size() > 1 ? given[1] : "";
    const std::uint64_t seed = given.size() > 2 ? std::strtoull(given[2].c_str(), nullptr, 10) : 1;
    if (presses <= 0) {
        std::fputs("usage: twinlamp_accuracy_table [PRESSES [PART_OF_A_NAME [SEED]]]\n", stderr);
        return EXIT_FAILURE;
    }
    std::fputs(tableHead().c_str(), stdout);
    for (const SceneClass& kind : sceneClasses()) {
        if (std::string_view(kind.name).find(part) != std::string_view::npos || part == kind.id) {
            std::fputs(tableRow(kind, runClass(kind, presses, seed)).c_str(), stdout);
            std::fflush(stdout);
        }
    }
    return EXIT_SUCCESS;
}
