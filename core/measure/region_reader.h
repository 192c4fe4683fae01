// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/picture.h"
#include "core/measure/region_scan.h"
#include "core/trace/light_meter.h"

#include <atomic>
#include <chrono>
#include <memory>
#include <mutex>
#include <span>
#include <vector>

namespace twinlamp::measure {

/// Reads the light of all regions from one picture after another, on several threads at once, each
/// frame on one of them.
class RegionReader
{
public:
    /// @param picture     the whole stored picture
    /// @param workers     threads that call visit()
    RegionReader(const RegionRequest& request, RectPx picture, std::int64_t frameCount, int workers,
        ScanProgress progress);

    void visit(FrameIndex frame, footage::PictureView picture, int worker);

    /// These frames are not read for the time being: what lies before them and behind them is told
    /// as progress all the same. Not to be mixed with reading one of them later while `progress`
    /// may be told: see endProgress().
    void pass(FrameRange frames);

    /// Nothing is told from then on.
    void endProgress();

    /// What has been read; of frames that no thread is reading.
    [[nodiscard]] const RegionLight& light() const { return m_light; }

    [[nodiscard]] RegionLight takeLight() { return std::move(m_light); }

    /// Null where none was asked for, or not every frame has its row. @pre no thread is reading
    [[nodiscard]] std::shared_ptr<const trace::LightMap> map() const;

private:
    struct Target
    {
        std::vector<float>* light = nullptr; ///< mean of the region, and high with it
        std::vector<float>* high = nullptr;
        std::vector<float>* cells = nullptr;
        std::vector<double> cellShare; ///< of the region's pixels, per cell

        void write(std::size_t frame, std::span<const float> values, float highShare) const;
    };

    void addRegion(const trace::MeterRegion& region, Target target);
    bool read(std::size_t frame, const footage::PictureView& picture, std::span<float> light,
        std::span<trace::ClipShare> clip);
    void makeMeters(const footage::PictureView& likeThis);
    void tellProgress();

    ScanProgress m_progress;
    std::int64_t m_frameCount;
    std::shared_ptr<const trace::ShiftFinder> m_follow;
    std::optional<TransferCurve> m_transfer;
    std::vector<trace::MeterRegion> m_regions;
    std::vector<Target> m_targets;
    RegionLight m_light;
    std::vector<std::atomic<bool>> m_isDone;
    std::vector<std::vector<float>> m_scratch;
    std::once_flag m_made;
    std::unique_ptr<trace::LightMeter> m_meter;
    bool m_keepMap;
    std::shared_ptr<trace::LightMapper> m_mapper;
    std::mutex m_telling;
    std::chrono::steady_clock::time_point m_nextTelling;
    std::int64_t m_complete = 0;
};

} // namespace twinlamp::measure
