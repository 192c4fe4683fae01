// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/frame_source.h"
#include "tests/core/footage/clips.h"

#include <cstdlib>
#include <fstream>
#include <gtest/gtest.h>
#include <iterator>

namespace twinlamp::tests {

namespace {

using footage::Frame;
using footage::FrameSource;
using footage::RgbPicture;

Frame firstFrame(const std::filesystem::path& clip)
{
    auto source = FrameSource::open(indexOf(clip), {});
    EXPECT_TRUE(source);
    auto frame = source->frame({0});
    EXPECT_TRUE(frame);
    return *frame;
}

int channel(const RgbPicture& picture, int x, int y, int offset)
{
    return picture.bgrx.at(static_cast<std::size_t>((y * picture.widthPx + x) * 4 + offset));
}

/// A still of one 8-bit Y'CbCr colour.
std::filesystem::path flatClip(const TemporaryFolder& folder, const std::string& format,
    const std::string& lumaAndChroma, const Arguments& coding = {})
{
    return makeClip(folder, "flat.mkv",
        Arguments {"-f", "lavfi", "-i",
            "color=s=32x32:r=30,format=" + format + ",geq=" + lumaAndChroma, "-frames:v", "1",
            "-c:v", "ffv1"}
            + coding);
}

TEST(RgbPicture, UsesTheRangeOfTheStream)
{
    const TemporaryFolder folder;
    const auto grey = [&](const std::string& range, const std::string& luma) {
        const auto clip = flatClip(folder, "yuv420p", luma + ":128:128", {"-color_range", range});
        return channel(footage::toRgb(firstFrame(clip), indexOf(clip)->info.orientation), 9, 9, 0);
    };
    // Limited range: 255 (Y' - 16) / 219, rounded (reference/measurement.md 1.5).
    EXPECT_EQ(grey("tv", "16"), 0);
    EXPECT_NEAR(grey("tv", "126"), 128, 1);
    EXPECT_EQ(grey("tv", "235"), 255);
    EXPECT_EQ(grey("pc", "126"), 126);
}

TEST(RgbPicture, UsesTheMatrixOfTheStreamAndBt709WhereUntagged)
{
    const TemporaryFolder folder;
    // Y' = 126, Cb = 128, Cr = 178: R' = (110/219 + 50/224 * 2 (1 - Kr)) * 255, Kr = 0.2126 for
    // BT.709 (217.7) and 0.299 for BT.601 (207.9).
    const auto red = [&](const Arguments& tags) {
        const auto clip = flatClip(folder, "yuv444p", "126:128:178", tags);
        return channel(footage::toRgb(firstFrame(clip), indexOf(clip)->info.orientation), 9, 9, 2);
    };
    EXPECT_NEAR(red({}), 218, 2);
    EXPECT_NEAR(red({"-colorspace", "bt709"}), 218, 2);
    EXPECT_NEAR(red({"-colorspace", "smpte170m"}), 208, 2);
}

TEST(RgbPicture, FillsTheFourthByte)
{
    const TemporaryFolder folder;
    const auto clip = flatClip(folder, "yuv420p", "126:128:128");
    const RgbPicture picture = footage::toRgb(firstFrame(clip), indexOf(clip)->info.orientation);
    ASSERT_EQ(picture.bgrx.size(), 32U * 32U * 4U);
    for (std::size_t i = 3; i < picture.bgrx.size(); i += 4) {
        ASSERT_EQ(picture.bgrx[i], 0xFF);
    }
}

/// Mean absolute difference to what the ffmpeg program shows of the first frame, turned upright.
double differenceToFfmpeg(
    const TemporaryFolder& folder, const std::filesystem::path& clip, const RgbPicture& picture)
{
    const auto raw = makeClip(folder, "raw.bgr0",
        {"-i", clip.string(), "-frames:v", "1", "-sws_flags", "bilinear", "-pix_fmt", "bgr0", "-f",
            "rawvideo"});
    std::ifstream file(raw, std::ios::binary);
    const std::vector<char> expected {
        std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    EXPECT_EQ(expected.size(), picture.bgrx.size());
    double sum = 0.0;
    for (std::size_t i = 0; i < expected.size(); ++i) {
        if (i % 4 != 3) {
            sum += std::abs(
                int {picture.bgrx.at(i)} - int {static_cast<std::uint8_t>(expected[i])});
        }
    }
    return sum / (static_cast<double>(expected.size()) * 0.75);
}

TEST(RgbPicture, IsTurnedAsTheFlagSays)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4",
        movingPicture(2, "30", "160x96")
            + Arguments {
                "-c:v", "libx264", "-pix_fmt", "yuv444p", "-crf", "10", "-colorspace", "bt709"});
    for (const int degrees : {0, 90, 180, 270}) {
        const auto turned = makeClip(folder, "r.mp4",
            {"-i", clip.string(), "-c", "copy", "-metadata:s:v",
                "rotate=" + std::to_string(degrees)});
        const auto index = indexOf(turned);
        const RgbPicture picture = footage::toRgb(firstFrame(turned), index->info.orientation);
        EXPECT_EQ(picture.widthPx, degrees % 180 == 0 ? 160 : 96);
        EXPECT_EQ(picture.heightPx, degrees % 180 == 0 ? 96 : 160);
        // A picture turned the wrong way differs by more than 40.
        EXPECT_LT(differenceToFfmpeg(folder, turned, picture), 1.0) << degrees;
    }
}

TEST(RgbPicture, OfAPartIsThatPartOfTheWhole)
{
    const TemporaryFolder folder;
    const auto clip = makeClip(folder, "a.mp4",
        movingPicture(2, "30", "160x96")
            + Arguments {"-c:v", "libx264", "-pix_fmt", "yuv444p", "-crf", "10"});
    const Frame frame = firstFrame(clip);
    for (const int degrees : {0, 90, 180, 270}) {
        const footage::Orientation orientation {degrees, 160, 96};
        const RgbPicture whole = footage::toRgb(frame, orientation);
        for (const RectPx part : {RectPx {3, 5, 17, 11}, RectPx {0, 0, 1, 1},
                 RectPx {60, 70, 500, 500}, RectPx {-4, -4, 9, 9}}) {
            const RectPx inside = intersection(part, {0, 0, whole.widthPx, whole.heightPx});
            const RgbPicture cut = footage::toRgb(frame, orientation, part);
            ASSERT_EQ(cut.widthPx, inside.width);
            ASSERT_EQ(cut.heightPx, inside.height);
            for (int y = 0; y < cut.heightPx; ++y) {
                for (int x = 0; x < cut.widthPx; ++x) {
                    ASSERT_NEAR(
                        channel(cut, x, y, 1), channel(whole, inside.x + x, inside.y + y, 1), 1)
                        << degrees << " " << x << " " << y;
                }
            }
        }
    }
    EXPECT_TRUE(footage::toRgb(frame, {0, 160, 96}, {200, 200, 5, 5}).bgrx.empty());
}

TEST(RgbPicture, IsMadeOfEveryLayout)
{
    const TemporaryFolder folder;
    for (const std::string format : {"gray", "gray12le", "gbrp", "gbrp10le", "yuv420p10le",
             "yuv422p12le", "yuv440p", "yuv444p16le"}) {
        const auto clip = makeClip(folder, "a.mkv",
            movingPicture(1, "30", "64x48")
                + Arguments {"-vf", "format=" + format, "-c:v", "ffv1", "-strict", "-2"});
        const RgbPicture picture
            = footage::toRgb(firstFrame(clip), indexOf(clip)->info.orientation);
        EXPECT_EQ(picture.bgrx.size(), 64U * 48U * 4U) << format;
        EXPECT_LT(differenceToFfmpeg(folder, clip, picture), 12.0) << format;
    }
}

} // namespace

} // namespace twinlamp::tests
