// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/footage/clip_open.h"

namespace twinlamp::footage {

enum class DamagePolicy
{
    Report, ///< damaged pictures fail or are marked
    Show ///< whatever can be shown comes out: only the order of pictures is of interest
};

struct DecoderOptions
{
    int threads = 1; ///< more than 1: frame threads
    int reorderFrames = 0; ///< pictures to hold back at least, so that none comes out too early
    DamagePolicy damage = DamagePolicy::Report;
};

/// A decoder for the clip's stream that reports damage instead of hiding it.
/// @error Footage/UnsupportedCodec
[[nodiscard]] Result<CodecHandle> makeDecoder(
    const OpenClip& open, const std::filesystem::path& clip, const DecoderOptions& options);

/// True for decoders that mark a damaged picture when it comes out; the others are told to fail on
/// the packet.
[[nodiscard]] bool marksDamage(AVCodecID codec);

/// True for a picture that the decoder patched up or made from missing references.
[[nodiscard]] bool isDamaged(const AVFrame& frame);

} // namespace twinlamp::footage
