// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/footage/av_handles.h"
#include "core/footage/clip_info.h"

#include <filesystem>
#include <memory>
#include <stop_token>
#include <string>

namespace twinlamp::footage {

/// How much libavformat reads before the first packet is handed out.
enum class Probe
{
    Full, ///< decodes what it needs to describe the stream
    Quick ///< trusts the header where the container has one; for readers of an indexed clip
};

/// An open clip: its demuxer, its one video stream (all others are discarded), a decoder for it.
struct OpenClip
{
    std::unique_ptr<std::stop_token> stop; ///< outlives the demuxer, which polls it while reading
    FormatHandle format;
    AVStream* stream = nullptr;
    const AVCodec* decoder = nullptr;
};

/// Opens `clip` with the `file` protocol and the known containers only.
/// @error Footage/NotFound, NoAccess, NotAVideo, NoVideoStream, UnsupportedCodec, Damaged
[[nodiscard]] Result<OpenClip> openClip(
    const std::filesystem::path& clip, Probe probe, const std::stop_token& stop);

/// What container and stream say about themselves. @pre opened with Probe::Full
[[nodiscard]] ClipInfo describe(const OpenClip& open, const std::filesystem::path& clip);

/// The file name alone, for sentences.
[[nodiscard]] std::string nameOf(const std::filesystem::path& clip);

/// An error of this module; `detail` follows the file's name: "NAME detail".
[[nodiscard]] tl::unexpected<Error> footageError(
    Cause cause, const std::filesystem::path& clip, const std::string& detail);

/// True for the container whose packets can only be reached by their byte position (MPEG-TS).
[[nodiscard]] bool seeksByBytes(const AVFormatContext& format);

} // namespace twinlamp::footage
