// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/press_explanation.h"

#include "core/base/version.h"
#include "core/base/wire_names.h"
#include "core/report/figure_text.h"

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace twinlamp::report {

namespace {

constexpr std::int64_t framesBefore = 2;
constexpr std::int64_t framesAfter = 3;

// Mean start of a region's rows after the start of the picture's first one.
double meanRowMs(const ClipFacts& clip, RectPx upright)
{
    if (!clip.lineTimeUs) {
        return 0.0;
    }
    const bool turned = clip.rotationDeg == 90 || clip.rotationDeg == 270;
    const int storedRows = turned ? clip.widthPx : clip.heightPx;
    double middle
        = turned ? upright.x + 0.5 * (upright.width - 1) : upright.y + 0.5 * (upright.height - 1);
    // Orientation of footage::toStored: these turns put the last stored row first.
    const bool fromEnd = clip.rotationDeg == 90 || clip.rotationDeg == 180;
    if (fromEnd != (*clip.lineTimeUs < 0.0)) {
        middle = storedRows - 1 - middle;
    }
    return std::abs(*clip.lineTimeUs) * 1e-3 * middle;
}

double levelOf(const Press& press, bool goggle, bool bright)
{
    const double before = goggle ? press.goggleBefore : press.referenceBefore;
    const double after = goggle ? press.goggleAfter : press.referenceAfter;
    return bright ? std::max(before, after) : std::min(before, after);
}

// A clip's time line as the explanation needs it. Everything in ms since the onset.
class TimeLine
{
public:
    explicit TimeLine(const ExplainedPress& of)
        : m_starts(of.traces.exposureStart)
        , m_onset(*of.press.reference)
        , m_intervalMs(of.clip.captureRate.isPositive() ? of.clip.captureRate.intervalMs() : 1.0)
        , m_exposureMs(std::min(of.clip.exposureMs.value_or(m_intervalMs), m_intervalMs))
    {
    }

    [[nodiscard]] double startMs(std::int64_t frame) const
    {
        return toMs(m_starts[static_cast<std::size_t>(frame)] - m_onset);
    }

    [[nodiscard]] double middleMs(std::int64_t frame, double rowMs) const
    {
        return startMs(frame) + rowMs + 0.5 * m_exposureMs;
    }

    /// First frame whose exposure ends after an instant: the first that can show what came then.
    [[nodiscard]] std::int64_t frameOf(double ms, double rowMs) const
    {
        const auto found = std::ranges::partition_point(m_starts,
            [&](RealTime start) { return toMs(start - m_onset) + rowMs + m_exposureMs <= ms; });
        return std::clamp<std::int64_t>(found - m_starts.begin(), 0, count() - 1);
    }

    [[nodiscard]] std::int64_t count() const { return static_cast<std::int64_t>(m_starts.size()); }

    [[nodiscard]] double intervalMs() const { return m_intervalMs; }

private:
    const std::vector<RealTime>& m_starts;
    RealTime m_onset;
    double m_intervalMs;
    double m_exposureMs;
};

std::vector<StripFrame> stripOf(const ExplainedPress& of, const TimeLine& time)
{
    const double referenceRow = meanRowMs(of.clip, of.regions.reference);
    const std::int64_t onset = time.frameOf(0.0, referenceRow);
    std::vector<std::int64_t> centres {onset};
    if (of.press.firstLight) {
        centres.push_back(time.frameOf(toMs(*of.press.firstLight - *of.press.reference),
            meanRowMs(of.clip, of.regions.goggle)));
    }
    std::vector<StripFrame> strip;
    for (std::int64_t k = 0; k < time.count(); ++k) {
        const bool wanted = std::ranges::any_of(centres, [k](std::int64_t centre) {
            return k >= centre - framesBefore && k <= centre + framesAfter;
        });
        if (wanted) {
            strip.push_back({k, time.startMs(k) + referenceRow, k == onset,
                of.press.firstLight && k == centres.back()});
        }
    }
    return strip;
}

struct LampMaterial
{
    const std::vector<float>& light;
    const ModelStretch& model;
    double dark = 0.0;
    double step = 0.0; ///< bright minus dark
    double rowMs = 0.0;
};

std::optional<double> modelAt(const ModelStretch& model, std::int64_t frame)
{
    const std::int64_t i = frame - model.firstFrame;
    return i >= 0 && i < static_cast<std::int64_t>(model.light.size())
        ? std::optional(static_cast<double>(model.light[static_cast<std::size_t>(i)]))
        : std::nullopt;
}

ExplainedTrace traceOf(
    const LampMaterial& lamp, const TimeLine& time, double firstMs, double lastMs)
{
    ExplainedTrace trace;
    double squares = 0.0;
    int fitted = 0;
    const auto frames = std::min(time.count(), static_cast<std::int64_t>(lamp.light.size()));
    for (std::int64_t k = 0; k < frames; ++k) {
        const double at = time.middleMs(k, lamp.rowMs);
        const auto light = static_cast<double>(lamp.light[static_cast<std::size_t>(k)]);
        if (at < firstMs || at > lastMs || !std::isfinite(light)) {
            continue;
        }
        ExplainedSample sample {k, at, (light - lamp.dark) / lamp.step, std::nullopt, std::nullopt};
        if (const auto model = modelAt(lamp.model, k)) {
            sample.model = (*model - lamp.dark) / lamp.step;
            sample.residual = (light - *model) / lamp.step;
            squares += *sample.residual * *sample.residual;
            ++fitted;
        }
        trace.samples.push_back(sample);
    }
    if (fitted > 0) {
        trace.residualDeviation = std::sqrt(squares / fitted);
    }
    return trace;
}

// The darker and brighter level of a stretch that no press gave levels for.
LampMaterial levelled(LampMaterial lamp)
{
    if (lamp.step > 0.0) {
        return lamp;
    }
    double low = 1.0;
    double high = 0.0;
    for (const float value : lamp.light) {
        if (std::isfinite(value)) {
            low = std::min(low, static_cast<double>(value));
            high = std::max(high, static_cast<double>(value));
        }
    }
    lamp.dark = low;
    lamp.step = high > low ? high - low : 1.0;
    return lamp;
}

void addTraces(const ExplainedPress& of, const TimeLine& time, PressExplanation& made)
{
    const auto material = [&](bool goggle) {
        const double dark = levelOf(of.press, goggle, false);
        return levelled({goggle ? of.traces.goggle : of.traces.reference,
            goggle ? of.press.goggleModel : of.press.referenceModel, dark,
            levelOf(of.press, goggle, true) - dark,
            meanRowMs(of.clip, goggle ? of.regions.goggle : of.regions.reference)});
    };
    made.reference = traceOf(material(false), time, made.firstMs, made.lastMs);
    made.goggle = traceOf(material(true), time, made.firstMs, made.lastMs);
}

std::vector<ExplainedMark> marksOf(const Press& press)
{
    std::vector<ExplainedMark> marks;
    const auto add = [&](PressMark mark, const std::optional<RealTime>& at) {
        if (at) {
            marks.push_back({mark, toMs(*at - *press.reference)});
        }
    };
    add(PressMark::Onset, press.reference);
    add(PressMark::FirstLight, press.firstLight);
    add(PressMark::HalfLight, press.halfLight);
    add(PressMark::Settled, press.settled);
    add(PressMark::FullFrame, press.fullFrame);
    std::ranges::stable_sort(marks, {}, &ExplainedMark::sinceOnsetMs);
    return marks;
}

// From a few frames before the onset to a few after the last mark.
void chooseStretch(const TimeLine& time, PressExplanation& made)
{
    constexpr double airFrames = 6.0;
    constexpr double airShare = 0.12;
    constexpr double withoutAnswerMs = 120.0;
    const double last = made.marks.size() > 1 ? made.marks.back().sinceOnsetMs : withoutAnswerMs;
    const double air = std::max(airFrames * time.intervalMs(), airShare * last);
    made.firstMs = -air;
    made.lastMs = last + air;
}

Sentence titleOf(const Press& press)
{
    const std::string number = std::to_string(press.index + 1);
    const std::string edge(wireName(press.edge));
    if (!press.latency) {
        return {"explain-title-lost", {number, edge}};
    }
    const FigureText figure = figureText(toMs(*press.latency),
        press.uncertainty ? std::optional(toMs(*press.uncertainty)) : std::nullopt);
    return figure.halfWidth.empty()
        ? Sentence {"explain-title-bare", {number, edge, figure.value}}
        : Sentence {"explain-title", {number, edge, figure.value, figure.halfWidth}};
}

std::vector<Sentence> footOf(const ClipFacts& clip)
{
    std::vector<Sentence> foot;
    foot.push_back({"explain-foot-clip", {std::filesystem::path(clip.file).filename().string()}});
    foot.push_back(clip.captureRate.isPositive() ? Sentence {"explain-foot-rate",
                       {toText(clip.captureRate), std::string(wireName(clip.captureRateSource))}}
                                                 : Sentence {"explain-foot-no-rate", {}});
    foot.push_back(clip.exposureMs ? Sentence {"explain-foot-exposure",
                       {figureText(*clip.exposureMs, std::nullopt).value,
                           std::string(wireName(clip.exposureSource))}}
                                   : Sentence {"explain-foot-no-exposure", {}});
    foot.push_back({"explain-foot-program", {std::string(version())}});
    return foot;
}

void addNotes(const ExplainedPress& of, PressExplanation& made)
{
    const Press& press = of.press;
    if (!press.reference) {
        made.notes.push_back({"explain-no-onset", {}});
    } else if (of.traces.frameCount() == 0) {
        made.notes.push_back({"explain-no-traces", {}});
    } else if (press.referenceModel.light.empty() && press.goggleModel.light.empty()) {
        made.notes.push_back({"explain-no-model", {}});
    }
    if (!press.accepted && reasonsSetAside(press).empty()) {
        made.notes.push_back(of.handReason.empty()
                ? Sentence {"explain-aside-by-hand", {}}
                : Sentence {"explain-aside-because", {of.handReason}});
    }
}

} // namespace

RectPx lampPart(RectPx region, int pictureWidthPx, int pictureHeightPx)
{
    if (region.isEmpty()) {
        return {};
    }
    constexpr int smallest = 8;
    const int side = std::max({smallest, region.width * 3 / 2, region.height * 3 / 2}) & ~1;
    const RectPx wanted {(region.x + region.width / 2 - side / 2) & ~1,
        (region.y + region.height / 2 - side / 2) & ~1, side, side};
    return intersection(wanted, {0, 0, pictureWidthPx, pictureHeightPx});
}

PressExplanation explainPress(const ExplainedPress& of)
{
    const Press& press = of.press;
    PressExplanation made;
    made.number = press.index + 1;
    made.edge = press.edge;
    made.title = titleOf(press);
    made.accepted = press.accepted;
    if (press.latency) {
        made.latencyMs = toMs(*press.latency);
    }
    if (press.latency && press.uncertainty) {
        made.budget = budgetOf(press, of.clip);
    }
    const Flags reasons = reasonsSetAside(press);
    for (const Flag flag : press.flags) {
        made.flags.push_back({flag, hasFlag(reasons, flag)});
    }
    if (press.reference && of.traces.frameCount() > 0) {
        const TimeLine time(of);
        made.marks = marksOf(press);
        chooseStretch(time, made);
        made.strip = stripOf(of, time);
        made.referencePart = lampPart(of.regions.reference, of.clip.widthPx, of.clip.heightPx);
        made.gogglePart = lampPart(of.regions.goggle, of.clip.widthPx, of.clip.heightPx);
        addTraces(of, time, made);
    }
    addNotes(of, made);
    made.foot = footOf(of.clip);
    return made;
}

} // namespace twinlamp::report
