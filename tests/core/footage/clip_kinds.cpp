// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/footage/clip_kinds.h"

#include <ostream>

namespace twinlamp::tests {

const std::vector<ClipKind>& clipKinds()
{
    const Arguments x264 {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuv420p"};
    const Arguments x265 {"-c:v", "libx265", "-preset", "ultrafast"};
    const Arguments pyramid = x264 + Arguments {"-g", "12", "-bf", "3"};
    const Arguments openGop = pyramid + Arguments {"-x264-params", "open-gop=1"};
    const Arguments vp9 {"-c:v", "libvpx-vp9", "-cpu-used", "8", "-b:v", "300k", "-g", "16"};
    static const std::vector<ClipKind> kinds {{"H264WithBFramesInMp4", "a.mp4", pyramid},
        {"H264OpenGopInMp4", "a.mp4", openGop}, {"H264OpenGopInMatroska", "a.mkv", openGop},
        {"H264OpenGopInTransportStream", "a.ts", openGop},
        {"H264OneLongGopInMov", "a.mov", x264 + Arguments {"-g", "250", "-bf", "2"}},
        // Several frames in each millisecond, which is all that Matroska tells.
        {"H264WithBFramesAndTwinStampsInMatroska", "a.mkv",
            pyramid
                + Arguments {"-vf", "settb=1/2000,setpts=N", "-vsync", "passthrough",
                    "-enc_time_base", "1/2000"}},
        {"H264IntraOnlyInMatroska", "a.mkv", x264 + Arguments {"-g", "1"}},
        {"H264IntraRefreshInMp4", "a.mp4",
            x264 + Arguments {"-x264-params", "intra-refresh=1:keyint=12"}},
        {"H264FieldsInMp4", "a.mp4", pyramid + Arguments {"-flags", "+ilme+ildct"}},
        {"H264WithBFramesInAvi", "a.avi", pyramid},
        {"H264FullRangeInMp4", "a.mp4",
            {"-c:v", "libx264", "-preset", "veryfast", "-pix_fmt", "yuvj420p", "-g", "12"}},
        {"H264WithSoundInMp4", "a.mp4",
            Arguments {"-f", "lavfi", "-i", "sine=d=0.2", "-c:a", "aac"} + pyramid},
        {"HevcOpenGopInMp4", "a.mp4",
            x265
                + Arguments {"-pix_fmt", "yuv420p", "-x265-params",
                    "log-level=none:keyint=12:min-keyint=12:open-gop=1:bframes=3"}},
        {"HevcTenBitInMatroska", "a.mkv",
            x265
                + Arguments {"-pix_fmt", "yuv420p10le", "-x265-params",
                    "log-level=none:keyint=16:bframes=2"}},
        {"HevcTenBitInTransportStream", "a.ts",
            x265
                + Arguments {"-pix_fmt", "yuv420p10le", "-x265-params",
                    "log-level=none:keyint=12:open-gop=1:bframes=2"}},
        {"MotionJpegInAvi", "a.avi", {"-c:v", "mjpeg", "-q:v", "4", "-pix_fmt", "yuvj420p"}},
        {"MotionJpegInMov", "a.mov", {"-c:v", "mjpeg", "-q:v", "4", "-pix_fmt", "yuvj422p"}},
        {"Vp9InWebm", "a.webm", vp9 + Arguments {"-deadline", "realtime"}},
        {"Vp9WithHiddenFramesInWebm", "a.webm",
            vp9 + Arguments {"-deadline", "good", "-auto-alt-ref", "1", "-lag-in-frames", "16"}},
        {"Av1InMp4", "a.mp4",
            {"-c:v", "libaom-av1", "-cpu-used", "8", "-usage", "realtime", "-b:v", "200k", "-g",
                "8"},
            24},
        {"Mpeg4WithBFramesInAvi", "a.avi", {"-c:v", "mpeg4", "-q:v", "4", "-bf", "2", "-g", "12"}},
        {"Mpeg4WithBFramesInMp4", "a.mp4", {"-c:v", "mpeg4", "-q:v", "4", "-bf", "2", "-g", "12"}},
        {"Ffv1InMatroska", "a.mkv", {"-c:v", "ffv1", "-g", "8", "-pix_fmt", "yuv420p"}},
        {"Ffv1TwelveBitRgbInMatroska", "a.mkv",
            {"-c:v", "ffv1", "-level", "3", "-pix_fmt", "gbrp12le"}, 16},
        {"Ffv1GreyInMatroska", "a.mkv", {"-c:v", "ffv1", "-pix_fmt", "gray16le"}, 16},
        {"PackedRgbInMov", "a.mov", {"-c:v", "rawvideo", "-pix_fmt", "rgb24"}, 16, "gbrp"},
        {"PackedYuvInMov", "a.mov", {"-c:v", "rawvideo", "-pix_fmt", "uyvy422"}, 16, "yuv422p"},
        {"SemiPlanarInMatroska", "a.mkv", {"-c:v", "rawvideo", "-pix_fmt", "nv12"}, 16, "yuv420p"}};
    return kinds;
}

std::filesystem::path makeClip(const TemporaryFolder& folder, const ClipKind& kind)
{
    // A second input has to come before the output's own options.
    const bool hasSound = !kind.coding.empty() && kind.coding.front() == "-f";
    Arguments input = movingPicture(kind.frames);
    if (hasSound) {
        constexpr std::ptrdiff_t pictureInput = 4; // "-f lavfi -i …" of movingPicture
        constexpr std::ptrdiff_t soundInput = 4;
        input.insert(
            input.begin() + pictureInput, kind.coding.begin(), kind.coding.begin() + soundInput);
        return makeClip(folder, kind.fileName,
            input + Arguments(kind.coding.begin() + soundInput, kind.coding.end()));
    }
    return makeClip(folder, kind.fileName, input + kind.coding);
}

void PrintTo(const ClipKind& kind, std::ostream* out) { *out << kind.name; }

} // namespace twinlamp::tests
