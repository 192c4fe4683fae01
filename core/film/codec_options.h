// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/scene.h"

#include <string>
#include <utility>
#include <vector>

extern "C" {
#include <libavcodec/codec_id.h>
#include <libavutil/pixfmt.h>
}

namespace twinlamp::film {

/// How libav makes a clip of a scene.
struct CodecChoice
{
    const char* encoder = nullptr; ///< name in libavcodec
    AVCodecID id = AV_CODEC_ID_NONE;
    AVPixelFormat pixels = AV_PIX_FMT_NONE;
    std::vector<std::pair<std::string, std::string>> options; ///< private ones of the encoder
    bool constantQuantiser = false; ///< quality goes into the general quantiser setting
};

[[nodiscard]] CodecChoice codecChoice(const Scene& scene);

} // namespace twinlamp::film
