// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/pages/bench_desk.h"

#include "core/session/clip_files.h"
#include "core/session/rig_values.h"

#include <spdlog/spdlog.h>

namespace twinlamp::ui {

namespace {

QString fileName(const session::Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return QString::fromStdString(std::filesystem::path(path).filename().string());
}

} // namespace

BenchDesk::BenchDesk(SessionDocument& document, QThreadPool& pool, QObject* parent)
    : QObject(parent)
    , m_document(document)
    , m_queue(pool)
    , m_indexing(pool)
    , m_locating(pool)
{
    connect(&document, &SessionDocument::replaced, this, &BenchDesk::onSessionReplaced);
    connect(&document, &SessionDocument::changed, this, &BenchDesk::onSessionChanged);
    connect(&m_queue, &MeasureQueue::started, this, [this](session::ClipId clip) {
        m_live[clip] = {};
        Q_EMIT workChanged();
    });
    connect(&m_queue, &MeasureQueue::regionsKnown, this,
        [this](session::ClipId clip, const RegionSet& regions) {
            if (const auto live = m_live.find(clip); live != m_live.end()) {
                live->second.regions = regions;
                Q_EMIT regionsChanged();
            }
        });
    connect(&m_queue, &MeasureQueue::glimpsed, this,
        [this](session::ClipId clip, const MeasureGlimpse& glimpse) {
            if (const auto live = m_live.find(clip); live != m_live.end()) {
                const bool grew = live->second.glimpsed;
                live->second.glimpse = glimpse;
                live->second.glimpsed = true;
                if (clip == m_clip) {
                    Q_EMIT tracesChanged(grew);
                    Q_EMIT pressesChanged();
                }
            }
        });
    connect(&m_queue, &MeasureQueue::progressed, this,
        [this](session::ClipId clip, ScaledProgress progress) {
            if (const auto live = m_live.find(clip); live != m_live.end()) {
                live->second.progress = progress;
                Q_EMIT workChanged();
            }
        });
    connect(&m_queue, &MeasureQueue::finished, this, &BenchDesk::onFinished);
    connect(&m_queue, &MeasureQueue::failed, this, &BenchDesk::onFailed);
    connect(&m_queue, &MeasureQueue::stopped, this, [this](const MeasureTask& task) {
        m_givenUp[task.clip] = task.options;
        m_asked.erase(task.clip);
        m_live.erase(task.clip);
        Q_EMIT tracesChanged(false);
        Q_EMIT pressesChanged();
    });
    connect(&m_queue, &MeasureQueue::changed, this, &BenchDesk::workChanged);
    connect(&m_queue, &MeasureQueue::fillingInChanged, this, &BenchDesk::fillingInChanged);
    connect(&m_queue, &MeasureQueue::filledIn, this, &BenchDesk::onFilledIn);
    connect(&m_queue, &MeasureQueue::fillingInFailed, this,
        [this](const MeasureTask& task, const Error& error) {
            // Nobody asked for it, and the figures stand: no more than a word in the log.
            spdlog::warn("{}", error.detail);
            m_leftWithGaps[task.clip] = task.options;
        });
}

BenchDesk::~BenchDesk() = default;

const session::Clip* BenchDesk::clip() const
{
    return m_clip ? session::find(m_document.session(), m_clip) : nullptr;
}

const BenchDesk::Live* BenchDesk::liveInHand() const
{
    const auto live = m_live.find(m_clip);
    return live != m_live.end() ? &live->second : nullptr;
}

bool BenchDesk::isMeasuring() const { return m_clip && m_queue.isRunning(m_clip); }

bool BenchDesk::isToBeFilledIn() const { return m_clip && m_queue.isToBeFilledIn(m_clip); }

std::optional<ScaledProgress> BenchDesk::progress() const
{
    const auto live = m_live.find(isMeasuring() ? m_clip : m_queue.running().value_or(m_clip));
    return live != m_live.end() ? live->second.progress : std::nullopt;
}

void BenchDesk::onSessionReplaced()
{
    m_queue.clear();
    m_locating.drop();
    m_givenUp.clear();
    m_asked.clear();
    m_leftWithGaps.clear();
    m_withoutRate.clear();
    m_located.clear();
    m_notLocated.clear();
    m_live.clear();
    const auto& clips = m_document.session().clips;
    m_clip = {};
    pickClip(clips.empty() ? session::ClipId {} : clips.front().id);
}

void BenchDesk::pickClip(session::ClipId clip)
{
    if (clip == m_clip && clip) {
        return;
    }
    m_clip = clip;
    m_press.reset();
    m_shown = this->clip() != nullptr ? this->clip()->measurement
                                      : session::SharedValue<session::ClipMeasurement>();
    openFootage();
    Q_EMIT clipPicked();
    Q_EMIT regionsChanged();
    Q_EMIT tracesChanged(false);
    Q_EMIT pressesChanged();
    Q_EMIT pressPicked();
    pickFirstPress();
    sayWhatToFillIn(); // what is in hand goes first
    Q_EMIT workChanged();
}

void BenchDesk::pickPress(std::optional<int> index)
{
    if (index != m_press) {
        m_press = index;
        Q_EMIT pressPicked();
    }
}

std::filesystem::path BenchDesk::fileOf(const session::Clip& clip) const
{
    // The hash is checked behind the measurement; size and place tell enough to show a picture.
    const auto found = session::clipFileCandidates(clip.file, m_document.path());
    return found.empty() ? std::filesystem::path() : found.front();
}

void BenchDesk::openFootage()
{
    m_indexing.drop();
    m_locating.drop();
    m_index.reset();
    m_clock.reset();
    m_problem.clear();
    const session::Clip* inHand = clip();
    if (inHand != nullptr) {
        const std::filesystem::path file = fileOf(*inHand);
        if (file.empty()) {
            m_problem
                = tr("The footage %1 was not found, neither at %2 nor beside the session. "
                     "Its figures are complete; to see the pictures, put the file back or "
                     "drop it here.")
                      .arg(fileName(*inHand), QString::fromStdString(inHand->file.absolutePath));
        } else {
            m_indexing.start<footage::ClipIndex>(
                [file](const JobControl& control) {
                    return footage::indexClip(file, footage::defaultIndexCacheFolder(), control);
                },
                [this](JobResult<footage::ClipIndex>&& outcome) { takeIndex(std::move(outcome)); });
        }
    }
    Q_EMIT footageChanged();
}

void BenchDesk::takeIndex(JobResult<footage::ClipIndex>&& outcome)
{
    if (outcome.hasValue() && outcome.value().frameCount() > 0) {
        m_index = std::make_shared<const footage::ClipIndex>(std::move(outcome).value());
        updateClock();
        if (m_withoutRate.contains(m_clip)) {
            locate();
            Q_EMIT rateWanted(); // now the rate that the file plays at is known as well
        }
        if (m_notLocated.contains(m_clip)) {
            Q_EMIT placingWanted();
        }
    } else if (outcome.isError()) {
        m_problem = QString::fromStdString(outcome.error().detail);
    }
    Q_EMIT footageChanged();
}

measure::MeasureOptions BenchDesk::wantedOptions() const
{
    const session::Clip* inHand = clip();
    if (inHand == nullptr) {
        return {};
    }
    return session::withRig(m_document.session(), inHand->rig, inHand->options)
        .value_or(inHand->options);
}

RateSource BenchDesk::rateSource() const
{
    const measure::MeasureOptions options = wantedOptions();
    return options.captureRate ? options.captureRateSource : RateSource::File;
}

void BenchDesk::updateClock()
{
    const session::Clip* inHand = clip();
    m_clock.reset();
    if (inHand == nullptr || !m_index) {
        return;
    }
    const measure::MeasureOptions options = wantedOptions();
    const auto rate = options.captureRate ? options.captureRate : m_index->info.taggedCaptureRate;
    if (rate && rate->isPositive()) {
        m_clock.emplace(*m_index, *rate);
    }
}

void BenchDesk::locate()
{
    if (m_located.contains(m_clip)) {
        return;
    }
    m_locating.start<measure::LocatedRegions>(
        [index = m_index](
            const JobControl& control) { return measure::locateRegions(*index, control); },
        [this, clip = m_clip](JobResult<measure::LocatedRegions>&& outcome) {
            if (outcome.hasValue()) {
                const measure::LocatedRegions& found = outcome.value();
                m_located[clip] = {found.reference.rect, found.goggle.rect,
                    found.panel ? std::optional(found.panel->rect) : std::nullopt,
                    RegionSource::Located};
                Q_EMIT regionsChanged();
            } else if (outcome.isError() && outcome.error().why == Cause::NotLocated) {
                m_notLocated.insert(clip);
                Q_EMIT regionsChanged();
                Q_EMIT placingWanted();
            }
        });
}

std::vector<session::EffectivePress> BenchDesk::presses() const
{
    if (const Live* live = liveInHand(); live != nullptr && live->glimpsed) {
        std::vector<session::EffectivePress> provisional;
        for (const Press& press : live->glimpse.presses) {
            provisional.push_back({press, press, false, std::nullopt});
        }
        return provisional;
    }
    const session::Clip* inHand = clip();
    return inHand != nullptr ? session::effectivePresses(*inHand)
                             : std::vector<session::EffectivePress>();
}

std::shared_ptr<const ClipTraces> BenchDesk::traces() const
{
    if (const Live* live = liveInHand(); live != nullptr && live->glimpsed) {
        return live->glimpse.traces;
    }
    const session::Clip* inHand = clip();
    return inHand != nullptr ? m_document.traces(*inHand) : nullptr;
}

std::optional<RegionSet> BenchDesk::regions() const
{
    const session::Clip* inHand = clip();
    if (inHand == nullptr) {
        return std::nullopt;
    }
    const measure::MeasureOptions& asked = inHand->options;
    if (asked.reference && asked.goggle) {
        return RegionSet {
            *asked.reference, *asked.goggle, asked.panel, RegionSource::Given, asked.panelCorners};
    }
    if (const Live* live = liveInHand(); live != nullptr && live->regions) {
        return live->regions;
    }
    if (inHand->measurement) {
        return inHand->measurement->regions;
    }
    if (const auto located = m_located.find(m_clip); located != m_located.end()) {
        return located->second;
    }
    if (m_notLocated.contains(m_clip) && m_index) {
        const footage::Orientation& turn = m_index->info.orientation;
        return startingRegions({turn.uprightWidthPx(), turn.uprightHeightPx()});
    }
    return std::nullopt;
}

std::vector<session::ClipId> BenchDesk::clipsWithoutRate() const
{
    return {m_withoutRate.begin(), m_withoutRate.end()};
}

} // namespace twinlamp::ui
