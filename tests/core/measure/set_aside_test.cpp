// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/measure/scene_clip.h"

#include <gtest/gtest.h>
#include <string>
#include <vector>

namespace twinlamp::measure {
namespace {

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
        const Analysis analysis = SceneClip(scene).analysed();
        for (const Press& press : analysis.presses) {
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
