// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "core/film/trace_render.h"
#include "core/film/truth.h"
#include "core/measure/clip_analysis.h"

#include <algorithm>
#include <gtest/gtest.h>
#include <iterator>
#include <string>
#include <vector>

namespace twinlamp::measure {
namespace {

std::vector<Press> pressesOf(const std::string& sceneJson)
{
    const auto scene = film::parseScene(sceneJson, "aside.json");
    if (!scene) {
        ADD_FAILURE() << scene.error().detail;
        return {};
    }
    const ClipTraces traces = film::renderTraces(*scene);
    const film::Truth truth = film::truthOf(*scene);
    std::vector<double> startMs;
    std::ranges::transform(traces.exposureStart, std::back_inserter(startMs),
        [](RealTime start) { return toMs(start); });
    AnalysisInput input;
    input.reference = traces.reference;
    input.goggle = traces.goggle;
    input.startMs = startMs;
    input.frameIntervalMs = truth.clip.captureRate.intervalMs();
    input.storedRows = truth.clip.heightPx;
    input.referenceStored = truth.regions.reference;
    input.goggleStored = truth.regions.goggle;
    return analyseClip(input, {}).presses;
}

// Holds shorter than a link frame, edges closer than the latency, a lossy link, a clip that ends
// before the last answer: every way in which the program leaves a press out.
const std::vector<std::string> scenes {
    R"({"name": "short holds", "seed": 3, "link_camera": {"frame_rate": 30},
        "lamps": {"programme": {"kind": "list", "edges_ms": [200, 206, 500, 509, 800, 812, 1100, 1104,
        1400, 1600]}}})",
    R"({"name": "crowded", "seed": 4, "link": {"delay_ms": 60, "lost_share": 0.4},
        "lamps": {"programme": {"kind": "list", "edges_ms": [200, 228, 260, 290, 330, 350, 390, 410,
        700, 900, 930, 950, 990, 1010, 1400, 1500]}}})",
    R"({"name": "cut off", "seed": 5, "link": {"delay_ms": 80}, "duration_ms": 560,
        "lamps": {"programme": {"kind": "list", "edges_ms": [200, 350, 540]}}})"};

TEST(SetAsideByTheProgram, IsNeverWithoutAReason)
{
    int aside = 0;
    for (const std::string& scene : scenes) {
        for (const Press& press : pressesOf(scene)) {
            if (!press.accepted) {
                ++aside;
                EXPECT_FALSE(reasonsSetAside(press).empty()) << scene << "\npress " << press.index;
            }
        }
    }
    EXPECT_GE(aside, 3);
}

} // namespace
} // namespace twinlamp::measure
