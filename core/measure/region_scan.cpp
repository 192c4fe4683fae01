// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/measure/region_scan.h"

#include "core/footage/frame_scan.h"
#include "core/trace/light_meter.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <cmath>
#include <limits>
#include <memory>
#include <mutex>

namespace twinlamp::measure {

using footage::PictureView;
using trace::ClipShare;
using trace::LightMeter;
using trace::MeterRegion;

namespace {

// A cell's mean over this many pixels has noise far below a panel's step.
constexpr int panelSamplesPerCell = 250;
constexpr float missingLight = std::numeric_limits<float>::quiet_NaN();

class RegionReader
{
public:
    RegionReader(
        const RegionRequest& request, std::int64_t frameCount, int workers, ScanProgress progress)
        : m_progress(std::move(progress))
        , m_frameCount(frameCount)
        , m_isDone(static_cast<std::size_t>(frameCount))
        , m_scratch(static_cast<std::size_t>(workers))
    {
        const auto frames = static_cast<std::size_t>(frameCount);
        if (request.reference) {
            m_regions.push_back({*request.reference, 1, 1, 0});
            m_targets.push_back({&m_light.reference, &m_light.referenceHigh, 1});
        }
        if (request.goggle) {
            m_regions.push_back({*request.goggle, 1, 1, 0});
            m_targets.push_back({&m_light.goggle, &m_light.goggleHigh, 1});
        }
        if (request.panel) {
            m_regions.push_back(
                {*request.panel, request.panelColumns, request.panelRows, panelSamplesPerCell});
            m_targets.push_back({&m_light.panelCells, nullptr,
                static_cast<std::size_t>(request.panelColumns * request.panelRows)});
        }
        for (const Target& target : m_targets) {
            target.light->assign(frames * target.values, missingLight);
            if (target.high != nullptr) {
                target.high->assign(frames, 0.0F);
            }
        }
    }

    void visit(FrameIndex frame, const PictureView& picture, int worker)
    {
        std::call_once(m_made, [&] { m_meter = std::make_unique<LightMeter>(picture, m_regions); });
        auto& scratch = m_scratch[static_cast<std::size_t>(worker)];
        scratch.resize(m_meter->valueCount());
        std::array<ClipShare, 3> clip {};
        const auto k = static_cast<std::size_t>(frame.value);
        if (m_meter->read(picture, scratch, std::span(clip).first(m_regions.size()))) {
            const float* value = scratch.data();
            for (std::size_t i = 0; i < m_targets.size(); ++i) {
                const Target& target = m_targets[i];
                std::copy_n(value, target.values,
                    target.light->begin() + static_cast<std::ptrdiff_t>(k * target.values));
                value += target.values;
                if (target.high != nullptr) {
                    (*target.high)[k] = clip[i].high;
                }
            }
        }
        m_isDone[k].store(true, std::memory_order_release);
        tellProgress();
    }

    [[nodiscard]] RegionLight takeLight() { return std::move(m_light); }

private:
    struct Target
    {
        std::vector<float>* light = nullptr;
        std::vector<float>* high = nullptr;
        std::size_t values = 1;
    };

    void tellProgress()
    {
        if (!m_progress) {
            return;
        }
        // Whoever comes by while another one tells goes on decoding.
        const std::unique_lock lock(m_telling, std::try_to_lock);
        const auto now = std::chrono::steady_clock::now();
        if (!lock.owns_lock() || now < m_nextTelling) {
            return;
        }
        while (m_complete < m_frameCount
            && m_isDone[static_cast<std::size_t>(m_complete)].load(std::memory_order_acquire)) {
            ++m_complete;
        }
        m_progress(m_light, m_complete);
        // Telling may cost at most a fifth of one thread's time.
        constexpr auto leastPause = std::chrono::milliseconds(100);
        const auto after = std::chrono::steady_clock::now();
        m_nextTelling
            = after + std::max<std::chrono::steady_clock::duration>(leastPause, 4 * (after - now));
    }

    ScanProgress m_progress;
    std::int64_t m_frameCount;
    std::vector<MeterRegion> m_regions;
    std::vector<Target> m_targets;
    RegionLight m_light;
    std::vector<std::atomic<bool>> m_isDone;
    std::vector<std::vector<float>> m_scratch;
    std::once_flag m_made;
    std::unique_ptr<LightMeter> m_meter;
    std::mutex m_telling;
    std::chrono::steady_clock::time_point m_nextTelling;
    std::int64_t m_complete = 0;
};

} // namespace

JobResult<RegionScan> scanRegions(const footage::ClipIndex& index, const RegionRequest& request,
    const ScanProgress& progress, const JobControl& control)
{
    const footage::ScanOptions options {request.threads};
    RegionReader reader(request, index.frameCount(), footage::scanThreads(options), progress);
    auto scanned = footage::scanFrames(
        index, index.all(),
        [&](FrameIndex frame, const PictureView& picture, int worker) {
            reader.visit(frame, picture, worker);
        },
        options, control);
    if (scanned.isCancelled()) {
        return Cancelled {};
    }
    if (scanned.isError()) {
        return scanned.error();
    }
    footage::ScanReport report = std::move(scanned).value();
    return RegionScan {reader.takeLight(), report.framesDecoded, std::move(report.missing),
        std::move(report.firstDecodeError)};
}

} // namespace twinlamp::measure
