// SPDX-License-Identifier: GPL-3.0-or-later
// What the desk does to the session and for it; what it shows is in bench_desk.cpp.
#include "core/session/clip_files.h"
#include "core/session/edit_chain.h"
#include "core/session/rig_values.h"
#include "ui/edits/clip_filing.h"
#include "ui/pages/bench_desk.h"

#include <QScopedValueRollback>

#include <algorithm>
#include <iterator>
#include <system_error>

namespace twinlamp::ui {

namespace {

std::optional<FrameRate> linkFrameRateOf(const session::Session& session, const session::Clip& clip)
{
    const session::Run* run = session::find(session, clip.run);
    const session::LinkSetting* setting
        = run != nullptr ? session::find(session, run->setting) : nullptr;
    return setting != nullptr ? setting->conditions.linkFrameRate : std::nullopt;
}

/// A clip whose shortest hold is stated is read around its switchings first.
MeasureTask taskOf(const session::Session& session, const session::Clip& clip,
    const std::filesystem::path& file, const measure::MeasureOptions& options)
{
    return {clip.id, file, options, linkFrameRateOf(session, clip), false,
        options.scan == ScanMode::Full && options.shortestHoldMs.has_value()};
}

QString nameOf(const session::ClipFile& file)
{
    const std::string& path = file.relativePath.empty() ? file.absolutePath : file.relativePath;
    return QString::fromStdString(std::filesystem::path(path).filename().string());
}

} // namespace

void BenchDesk::onSessionChanged()
{
    const session::Clip* inHand = clip();
    if (m_clip && inHand == nullptr) {
        const auto& clips = m_document.session().clips;
        pickClip(clips.empty() ? session::ClipId {} : clips.front().id);
    } else if (!m_clip && !m_document.session().clips.empty()) {
        pickClip(m_document.session().clips.front().id);
    } else if (inHand != nullptr) {
        const bool measuredAnew = !inHand->measurement.sharesWith(m_shown);
        m_shown = inHand->measurement;
        if (!m_index && !m_problem.isEmpty() && !fileOf(*inHand).empty()) {
            openFootage(); // the file is there again
        }
        updateClock();
        Q_EMIT footageChanged();
        Q_EMIT regionsChanged();
        if (measuredAnew && m_takesFillIn) {
            Q_EMIT tracesFilledIn();
        } else if (measuredAnew) {
            Q_EMIT tracesChanged(false);
        }
        Q_EMIT pressesChanged();
        if (m_press) {
            Q_EMIT pressPicked(); // its figures may have changed
        } else {
            pickFirstPress();
        }
    }
    bringUpToDate();
    Q_EMIT workChanged();
}

void BenchDesk::pickFirstPress()
{
    const session::Clip* inHand = clip();
    if (inHand != nullptr && inHand->measurement && !inHand->measurement->presses.empty()) {
        pickPress(inHand->measurement->presses.front().index);
    }
}

void BenchDesk::bringUpToDate()
{
    const session::Session& session = m_document.session();
    std::erase_if(
        m_withoutRate, [&](session::ClipId id) { return session::find(session, id) == nullptr; });
    const auto asked = m_asked; // stopping changes it
    for (const auto& [id, options] : asked) {
        if (session::find(session, id) == nullptr) {
            m_queue.stop(id);
        }
    }
    if (m_document.isReadOnly()) {
        return;
    }
    const std::vector<session::ClipId> outOfDate = clipsOutOfDate(session);
    for (const session::Clip& each : session.clips) {
        const bool wanted = std::ranges::find(outOfDate, each.id) != outOfDate.end();
        const auto gaveUp = m_givenUp.find(each.id);
        const auto under = m_asked.find(each.id);
        const bool underWay = m_queue.holds(each.id) && under != m_asked.end();
        const Result<measure::MeasureOptions> options
            = session::withRig(session, each.rig, each.options);
        if (!wanted) {
            if (underWay && under->second != *options) {
                m_queue.stop(each.id); // an undo made the work needless
            }
            continue;
        }
        const measure::MeasureOptions& tried = options ? *options : each.options;
        if ((gaveUp != m_givenUp.end() && gaveUp->second == tried)
            || (underWay && under->second == tried)) {
            continue;
        }
        const std::filesystem::path file = fileOf(each);
        if (file.empty() || !options) {
            m_givenUp[each.id] = tried;
            if (!options) {
                Q_EMIT measuringFailed(
                    each.id, nameOf(each.file), QString::fromStdString(options.error().detail));
            }
            continue;
        }
        m_asked[each.id] = tried;
        MeasureTask task = taskOf(session, each, file, tried);
        // Quick figures while a hand is on the clip; measuring it again gives exact ones.
        task.lookAgain = static_cast<bool>(each.measurement);
        m_queue.add(std::move(task), each.id == m_clip);
    }
    sayWhatToFillIn();
}

void BenchDesk::sayWhatToFillIn()
{
    const session::Session& session = m_document.session();
    std::vector<MeasureTask> tasks;
    for (const session::Clip& each : session.clips) {
        if (m_document.isReadOnly() || !each.measurement
            || each.measurement->scan.mode == ScanMode::Full
            || session::isOutOfDate(session, each)) {
            continue;
        }
        const auto options = session::withRig(session, each.rig, each.options);
        const auto gaveUp = m_leftWithGaps.find(each.id);
        const bool wanted = options && options->scan == ScanMode::Full
            && (gaveUp == m_leftWithGaps.end() || gaveUp->second != *options);
        const std::filesystem::path file = wanted ? fileOf(each) : std::filesystem::path();
        if (!file.empty()) {
            MeasureTask task = taskOf(session, each, file, *options);
            task.sparseFirst = false;
            tasks.insert(each.id == m_clip ? tasks.begin() : tasks.end(), std::move(task));
        }
    }
    m_queue.setToFillIn(std::move(tasks));
}

void BenchDesk::onFilledIn(const MeasureTask& task, ClipResult result)
{
    const session::Clip* filled = session::find(m_document.session(), task.clip);
    if (filled == nullptr || !filled->measurement
        || filled->measurement->scan.mode == ScanMode::Full) {
        return;
    }
    const auto wanted = session::withRig(m_document.session(), filled->rig, filled->options);
    if (!wanted || *wanted != task.options) {
        return; // the session has changed as this was done
    }
    const session::ClipMeasurement& before = *filled->measurement;
    if (before.regions.reference == result.regions.reference
        && before.regions.goggle == result.regions.goggle) {
        result.regions.source = before.regions.source;
    }
    const auto edgesOf = [](const std::vector<Press>& presses) {
        std::vector<Edge> edges;
        std::ranges::transform(presses, std::back_inserter(edges), &Press::edge);
        return edges;
    };
    const bool isSame = edgesOf(before.presses) == edgesOf(result.presses);
    const auto pressesBefore = static_cast<int>(before.presses.size());
    const auto presses = static_cast<int>(result.presses.size());
    const QScopedValueRollback takes(m_takesFillIn, true);
    if (m_document.fillIn(task.clip, std::move(result), task.options) && !isSame) {
        Q_EMIT foundOtherwise(task.clip, pressesBefore, presses);
    }
}

void BenchDesk::onFinished(const MeasureTask& task, ClipResult result)
{
    m_givenUp.erase(task.clip);
    m_asked.erase(task.clip);
    m_withoutRate.erase(task.clip);
    m_notLocated.erase(task.clip);
    m_live.erase(task.clip);
    const session::Clip* measured = session::find(m_document.session(), task.clip);
    if (measured == nullptr) {
        return;
    }
    const auto wanted = session::withRig(m_document.session(), measured->rig, measured->options);
    if (wanted && *wanted != task.options) {
        bringUpToDate(); // done just as an undo made it needless: filed, it would undo the undo
        return;
    }
    const auto located = m_located.find(task.clip);
    if (located != m_located.end() && located->second.reference == result.regions.reference
        && located->second.goggle == result.regions.goggle) {
        result.regions.source = RegionSource::Located; // proposed while the rate was asked for
    }
    if (m_document.fileMeasurement(task.clip, std::move(result), task.options)) {
        tellIfSameFootage(task.clip);
        tellIfUnanswered(task.clip);
    }
}

void BenchDesk::tellIfUnanswered(session::ClipId clip)
{
    const session::Clip* measured = session::find(m_document.session(), clip);
    if (measured == nullptr || !measured->measurement || measured->measurement->presses.empty()) {
        return;
    }
    if (std::ranges::none_of(measured->measurement->presses,
            [](const Press& press) { return press.latency.has_value(); })) {
        Q_EMIT noAnswerFound(clip);
    }
}

void BenchDesk::swapLamps(session::ClipId clip)
{
    const session::Clip* swapped = session::find(m_document.session(), clip);
    if (swapped == nullptr || !swapped->measurement) {
        return;
    }
    const RegionSet before = swapped->measurement->regions;
    measure::MeasureOptions options = swapped->options;
    options.reference = before.goggle;
    options.goggle = before.reference;
    // The panel was looked for around the other lamp.
    options.panel.reset();
    options.panelCorners.reset();
    options.withoutPanel = true;
    m_document.push(session::changeOptions(m_document.session(), clip, options));
}

void BenchDesk::tellIfSameFootage(session::ClipId clip)
{
    const session::Session& session = m_document.session();
    const session::Clip* measured = session::find(session, clip);
    if (measured == nullptr || measured->file.sha256.empty()) {
        return;
    }
    const auto same = std::ranges::find_if(session.clips, [&](const session::Clip& each) {
        return each.id != clip && each.file.sha256 == measured->file.sha256;
    });
    if (same != session.clips.end()) {
        Q_EMIT sameFootageFound(clip, same->id);
    }
}

void BenchDesk::onFailed(const MeasureTask& task, const Error& error)
{
    m_givenUp[task.clip] = task.options;
    m_asked.erase(task.clip);
    m_live.erase(task.clip);
    Q_EMIT tracesChanged(false);
    Q_EMIT pressesChanged();
    if (error.why == Cause::NeedsCaptureRate) {
        m_withoutRate.insert(task.clip);
        if (task.clip == m_clip && m_index) {
            locate();
        }
        Q_EMIT rateWanted();
        return;
    }
    if (error.why == Cause::NotLocated) {
        m_notLocated.insert(task.clip);
        Q_EMIT regionsChanged();
        if (task.clip == m_clip && m_index) {
            Q_EMIT placingWanted();
        }
        return;
    }
    Q_EMIT measuringFailed(task.clip, QString::fromStdString(task.file.filename().string()),
        QString::fromStdString(error.detail));
}

void BenchDesk::moveRegion(RegionKind kind, std::optional<RectPx> rect)
{
    if (const auto before = regions()) {
        changeRegions(kind, *before, withRegion(*before, kind, rect));
    }
}

void BenchDesk::moveCorners(const QuadPx& corners)
{
    if (const auto before = regions()) {
        changeRegions(RegionKind::Panel, *before, withPanelCorners(*before, corners));
    }
}

void BenchDesk::changeRegions(RegionKind kind, const RegionSet& before, const RegionSet& after)
{
    const session::Clip* inHand = clip();
    if (inHand == nullptr) {
        return;
    }
    measure::MeasureOptions options = inHand->options;
    options.reference = after.reference;
    options.goggle = after.goggle;
    options.panel = after.panel;
    options.panelCorners = after.panelCorners;
    options.withoutPanel = !after.panel.has_value();
    auto edit = session::changeOptions(m_document.session(), m_clip, options);
    if (edit && !edit->isEmpty()) {
        edit->label = {"edit-move-region",
            {regionName(kind).toStdString(),
                edit->label.values.empty() ? std::string() : edit->label.values.front()}};
        if (before.panelCorners.has_value() != after.panelCorners.has_value()) {
            edit->mergeKey.clear(); // a change of shape is a step of its own
        }
    }
    m_document.push(std::move(edit), Joining::SameGesture);
}

void BenchDesk::giveCaptureRate(const std::vector<session::ClipId>& clips, FrameRate rate)
{
    session::EditChain chain(m_document.session());
    for (const session::ClipId id : clips) {
        const session::Clip* each = session::find(chain.session(), id);
        if (each == nullptr) {
            continue;
        }
        measure::MeasureOptions options = each->options;
        options.captureRate = rate;
        options.captureRateSource = RateSource::Given;
        if (const auto found = m_located.find(id); found != m_located.end() && !options.reference) {
            options.reference = found->second.reference;
            options.goggle = found->second.goggle;
            options.panel = found->second.panel;
            options.panelCorners.reset();
            options.withoutPanel = !found->second.panel.has_value();
        }
        auto edit = session::changeOptions(chain.session(), id, options);
        if (edit && !edit->isEmpty()) {
            edit->label.id = "edit-give-capture-rate";
            edit->mergeKey.clear();
        }
        if (const auto added = chain.add(edit); !added) {
            Q_EMIT measuringFailed(id, {}, QString::fromStdString(added.error().detail));
        }
        m_withoutRate.erase(id);
    }
    m_document.push(chain.edit());
}

void BenchDesk::moveMark(int press, session::Mark mark, RealTime time)
{
    m_document.push(
        session::moveMark(m_document.session(), {m_clip, press}, mark, time), Joining::SameGesture);
    Q_EMIT pressesChanged(); // also puts a refused mark back
}

void BenchDesk::resetMark(int press, session::Mark mark)
{
    m_document.push(session::resetMark(m_document.session(), {m_clip, press}, mark));
}

void BenchDesk::setReadout(int press, std::optional<double> latencyMs)
{
    m_document.push(session::setReadout(m_document.session(), {m_clip, press}, latencyMs));
}

std::optional<double> BenchDesk::readout() const
{
    const session::Clip* inHand = clip();
    if (inHand == nullptr || !m_press) {
        return std::nullopt;
    }
    const auto found = std::ranges::find(inHand->readouts, *m_press, &session::PressReadout::press);
    return found == inHand->readouts.end() ? std::nullopt : std::optional(found->latencyMs);
}

void BenchDesk::setAside(session::PressAddress press, const QString& reason)
{
    m_document.push(
        session::setAsidePress(m_document.session(), press, reason.trimmed().toStdString()));
}

void BenchDesk::accept(session::PressAddress press)
{
    // Where the program itself accepts the press, the hand's choice is simply taken back.
    const session::Session& session = m_document.session();
    const session::Clip* of = session::find(session, press.clip);
    const bool measuredAccepted = of != nullptr && of->measurement
        && std::ranges::any_of(of->measurement->presses,
            [&](const Press& each) { return each.index == press.press && each.accepted; });
    m_document.push(measuredAccepted ? session::resetChoice(session, press)
                                     : session::acceptPress(session, press));
}

bool BenchDesk::findAgain(const std::filesystem::path& file)
{
    const session::Clip* inHand = clip();
    std::error_code unknown;
    const auto size = static_cast<std::int64_t>(std::filesystem::file_size(file, unknown));
    if (inHand == nullptr || !fileOf(*inHand).empty() || unknown
        || size != inHand->file.sizeBytes) {
        return false;
    }
    return m_document.push(session::changeClipFile(m_document.session(), m_clip,
        session::clipFileFor(file, m_document.path(), inHand->file.sha256, size)));
}

void BenchDesk::stop() { m_queue.stopAll(); }

bool BenchDesk::restsOnLightMap() const
{
    const session::Clip* inHand = clip();
    return inHand != nullptr && inHand->measurement && !m_queue.holds(m_clip)
        && std::ranges::any_of(inHand->measurement->notes,
            [](const Sentence& note) { return note.id == "second-look"; });
}

void BenchDesk::measureAgain()
{
    m_givenUp.clear();
    m_asked.clear();
    m_leftWithGaps.clear();
    if (const session::Clip* inHand = clip()) {
        const std::filesystem::path file = fileOf(*inHand);
        const auto options = session::withRig(m_document.session(), inHand->rig, inHand->options);
        if (!file.empty() && options) {
            m_asked[m_clip] = *options;
            m_queue.add(taskOf(m_document.session(), *inHand, file, *options), true);
        }
    }
    bringUpToDate();
}

} // namespace twinlamp::ui
