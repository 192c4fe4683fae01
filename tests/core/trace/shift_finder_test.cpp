// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/trace/shift_finder.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <gtest/gtest.h>
#include <random>
#include <vector>

namespace twinlamp::trace {

namespace {

constexpr int width = 320;
constexpr int height = 180;
constexpr RectPx lamp {40, 70, 30, 30};
constexpr RectPx panel {150, 40, 140, 100};

struct Light
{
    double lamp = 0.0; ///< 0 to 1
    double spill = 0.0; ///< of the lamp's image over the panel
    double room = 1.0;
};

/// A desk with things on it, a lamp and a panel, known between the pixels too.
class Desk
{
public:
    explicit Desk(unsigned seed)
        : m_random(seed)
    {
        const auto draw = [&](double low, double high) {
            return std::uniform_real_distribution<double>(low, high)(m_random);
        };
        for (auto& thing : m_things) {
            thing = {draw(-20.0, width), draw(-20.0, height), draw(8.0, 50.0), draw(8.0, 40.0),
                draw(-25.0, 45.0)};
        }
    }

    /// Luma of the picture moved by `shift`, with noise of 1.5 codes.
    std::vector<std::uint8_t> picture(ShiftPx shift, Light light)
    {
        std::vector<std::uint8_t> luma;
        std::normal_distribution<double> noise(0.0, 1.5);
        for (int y = 0; y < height; ++y) {
            for (int x = 0; x < width; ++x) {
                const double value = at(x - shift.x, y - shift.y, light) + noise(m_random);
                luma.push_back(
                    static_cast<std::uint8_t>(std::clamp(std::lround(value), 16L, 235L)));
            }
        }
        return luma;
    }

private:
    struct Thing
    {
        double x, y, width, height, light;
    };

    // Soft edges, as a lens makes them.
    static double inside(double x, double from, double length)
    {
        const auto rise = [](double d) { return 0.5 + 0.5 * std::tanh(d / 0.8); };
        return rise(x - from) * rise(from + length - x);
    }

    [[nodiscard]] double at(double x, double y, Light light) const
    {
        double room = 50.0 + 6.0 * std::sin(x / 9.0) * std::cos(y / 7.0);
        for (const Thing& thing : m_things) {
            room
                += thing.light * inside(x, thing.x, thing.width) * inside(y, thing.y, thing.height);
        }
        const double onPanel = inside(x, panel.x, panel.width) * inside(y, panel.y, panel.height);
        const double onLamp = std::hypot(x - 55.0, y - 85.0) < 12.0 ? 1.0 : 0.0;
        const double shown = 60.0 + 15.0 * std::sin(x / 5.0) + 60.0 * light.spill;
        return (1.0 - onPanel) * light.room * room + onPanel * shown + 140.0 * light.lamp * onLamp;
    }

    std::mt19937 m_random;
    std::array<Thing, 24> m_things {};
};

footage::PictureView viewOf(const std::vector<std::uint8_t>& luma)
{
    footage::PictureView view;
    view.layout = footage::PlaneLayout::Grey;
    view.planes[0] = {luma.data(), width, width, height};
    return view;
}

TEST(ShiftFinder, TellsRandomShiftsToATenthOfAPixelWhileLampsSwitch)
{
    for (unsigned seed = 1; seed <= 8; ++seed) {
        Desk desk(seed);
        const auto reference = desk.picture({}, {});
        const ShiftFinder finder(viewOf(reference), {lamp, {200, 80, 30, 30}}, panel);
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> draw(-12.0, 12.0);
        for (int i = 0; i < 12; ++i) {
            const ShiftPx shift {draw(random), draw(random)};
            const Light light {i % 2 == 0 ? 1.0 : 0.0, i % 3 == 0 ? 1.0 : 0.0, 1.0 - 0.04 * i};
            const auto now = desk.picture(shift, light);
            const auto found = finder.find(viewOf(now));
            ASSERT_TRUE(found) << seed << ' ' << i;
            EXPECT_NEAR(found->shift.x, shift.x, 0.1) << seed << ' ' << i;
            EXPECT_NEAR(found->shift.y, shift.y, 0.1) << seed << ' ' << i;
            EXPECT_LT(found->standardErrorPx, 0.1);
        }
    }
}

TEST(ShiftFinder, CameraThatStandsStillHasNoShift)
{
    Desk desk(3);
    const auto reference = desk.picture({}, {});
    const ShiftFinder finder(viewOf(reference), {lamp}, panel);
    const auto lit = desk.picture({}, {1.0, 1.0, 0.7});
    const auto found = finder.find(viewOf(lit));
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->shift.x, 0.0, 0.05);
    EXPECT_NEAR(found->shift.y, 0.0, 0.05);
}

TEST(ShiftFinder, PictureOfSomethingElseIsNotRecognised)
{
    Desk desk(4);
    const auto reference = desk.picture({}, {});
    const ShiftFinder finder(viewOf(reference), {lamp}, panel);
    const std::vector<std::uint8_t> blank(std::size_t {width} * height, 40);
    EXPECT_FALSE(finder.find(viewOf(blank)));
    std::vector<std::uint8_t> upsideDown = reference;
    std::ranges::reverse(upsideDown);
    EXPECT_FALSE(finder.find(viewOf(upsideDown)));
}

TEST(ShiftFinder, EmptyPictureGivesNothingToHoldOnTo)
{
    const std::vector<std::uint8_t> blank(std::size_t {width} * height, 40);
    const ShiftFinder finder(viewOf(blank), {lamp}, panel);
    EXPECT_FALSE(finder.find(viewOf(blank)));
}

} // namespace

} // namespace twinlamp::trace
