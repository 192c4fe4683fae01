// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"
#include "core/footage/picture.h"
#include "tests/support/temporary_folder.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace twinlamp::tests {

using Arguments = std::vector<std::string>;

Arguments operator+(Arguments left, const Arguments& right);

/// Input of the ffmpeg program: `frames` moving pictures with a little noise, the same in every
/// run.
[[nodiscard]] Arguments movingPicture(
    int frames, const std::string& rate = "240", const std::string& size = "160x120");

/// Runs the ffmpeg program on `arguments` and an output file of that name; throws where it fails.
/// @return the output's path
std::filesystem::path makeClip(
    const TemporaryFolder& folder, const std::string& fileName, const Arguments& arguments);

/// What ffprobe says, one string per line: `-show_entries` `entries` of the first video stream.
[[nodiscard]] std::vector<std::string> probe(
    const std::filesystem::path& clip, const std::string& entries, const Arguments& more = {});

/// `ffprobe -count_frames`.
[[nodiscard]] std::int64_t countedFrames(const std::filesystem::path& clip);

/// Time stamps of the decoded frames in the order they are shown, from ffprobe.
[[nodiscard]] std::vector<std::int64_t> shownStamps(const std::filesystem::path& clip);

/// SHA-256 of every decoded picture, planes tightly packed, from ffmpeg's framehash muxer.
/// @param coding  for example {"-pix_fmt", "gbrp"}; empty: as decoded
[[nodiscard]] std::vector<std::string> pictureHashes(
    const std::filesystem::path& clip, const Arguments& coding = {});

/// The same hash over the planes of a view.
[[nodiscard]] std::string hashOf(const footage::PictureView& view);

/// Where packets lie in the file, in decode order.
struct PacketPlace
{
    std::int64_t position = 0;
    std::int64_t size = 0;
    bool keyframe = false;
};

[[nodiscard]] std::vector<PacketPlace> packetPlaces(const std::filesystem::path& clip);

/// Overwrites the middle of a stretch of the file with noise from `seed`.
void spoil(const std::filesystem::path& clip, std::int64_t first, std::int64_t last, unsigned seed);

/// Index without a cache folder; fails the running test and throws where there is none.
[[nodiscard]] std::shared_ptr<const footage::ClipIndex> indexOf(const std::filesystem::path& clip);

} // namespace twinlamp::tests
