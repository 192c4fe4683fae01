// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/clip_facts.h"

#include "core/footage/capture_clock.h"
#include "core/footage/frame_index.h"

namespace twinlamp::commands {

JobResult<ClipFacts> clipFactsOf(const std::filesystem::path& clip,
    const measure::MeasureOptions& options, const JobControl& control)
{
    auto indexed = footage::indexClip(clip, footage::defaultIndexCacheFolder(), control);
    if (!indexed.hasValue()) {
        return indexed.isCancelled() ? JobResult<ClipFacts>(Cancelled {}) : indexed.error();
    }
    auto hash = footage::sha256OfFile(clip, control);
    if (!hash.hasValue()) {
        return hash.isCancelled() ? JobResult<ClipFacts>(Cancelled {}) : hash.error();
    }
    const footage::ClipIndex& index = indexed.value();
    ClipFacts facts;
    facts.file = clip.string();
    facts.sha256 = hash.value();
    facts.frames = index.frameCount();
    facts.widthPx = index.info.orientation.uprightWidthPx();
    facts.heightPx = index.info.orientation.uprightHeightPx();
    facts.rotationDeg = index.info.orientation.rotationDeg;
    facts.playRateHz = footage::playRateHz(index);
    facts.lineTimeUs = options.lineTimeUs;
    facts.exposureMs = options.exposureMs;
    facts.exposureSource = options.exposureMs ? ExposureSource::Given : ExposureSource::Unknown;
    const auto rate = options.captureRate ? options.captureRate : index.info.taggedCaptureRate;
    if (rate) {
        facts.captureRate = *rate;
        facts.captureRateSource
            = options.captureRate ? options.captureRateSource : RateSource::File;
        facts.lostFrames = footage::CaptureClock(index, *rate).lostFrames();
    }
    return facts;
}

} // namespace twinlamp::commands
