// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/av_handles.h"

extern "C" {
#include <libavutil/display.h>
}

#include <cstdint>

namespace twinlamp::footage {

/// The display matrix of a stream, nine 16.16 numbers, or null. It moved from the stream to its
/// codec parameters in libavformat 60.15.
[[nodiscard]] inline const std::int32_t* displayMatrix(const AVStream& stream)
{
    constexpr std::size_t matrixBytes = 9 * sizeof(std::int32_t);
#if LIBAVFORMAT_VERSION_INT >= AV_VERSION_INT(60, 15, 100)
    const AVPacketSideData* data = av_packet_side_data_get(stream.codecpar->coded_side_data,
        stream.codecpar->nb_coded_side_data, AV_PKT_DATA_DISPLAYMATRIX);
    return data != nullptr && data->size >= matrixBytes
        ? reinterpret_cast<const std::int32_t*>(data->data)
        : nullptr;
#else
    std::size_t size = 0;
    const std::uint8_t* data = av_stream_get_side_data(&stream, AV_PKT_DATA_DISPLAYMATRIX, &size);
    return data != nullptr && size >= matrixBytes ? reinterpret_cast<const std::int32_t*>(data)
                                                  : nullptr;
#endif
}

/// Number of samples that the container's own index announces; 0 where it has none.
[[nodiscard]] inline int announcedSamples(const AVStream& stream)
{
    return avformat_index_get_entries_count(&stream);
}

/// One number for the libraries that shape an index: it is rebuilt when they change.
[[nodiscard]] inline std::int64_t libavVersion()
{
    return (static_cast<std::int64_t>(avformat_version()) << 32U)
        | static_cast<std::int64_t>(avcodec_version());
}

} // namespace twinlamp::footage
