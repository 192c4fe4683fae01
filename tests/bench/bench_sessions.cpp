// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/bench_sessions.h"

#include "core/session/edit_chain.h"
#include "core/session/store/session_file.h"

#include <cstdio>
#include <cstdlib>
#include <random>
#include <string>

namespace twinlamp::bench {

namespace {

namespace fs = std::filesystem;
using Random = std::mt19937_64;

[[noreturn]] void giveUp(const std::string& why)
{
    std::fprintf(stderr, "%s\n", why.c_str());
    std::exit(EXIT_FAILURE);
}

template<typename T> T orGiveUp(Result<T> result)
{
    if (!result) {
        giveUp(result.error().detail);
    }
    return std::move(*result);
}

std::vector<float> light(Random& random, std::size_t frames)
{
    std::vector<float> values(frames);
    for (float& value : values) {
        value = std::uniform_real_distribution<float>(0.0F, 1.0F)(random);
    }
    return values;
}

Press press(Random& random, int index)
{
    // Sizes as in a clip of 480 frames/s: measured with the sample clip "tarn".
    constexpr std::size_t referenceFrames = 40;
    constexpr std::size_t goggleFrames = 44;
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    Press made;
    made.index = index;
    made.edge = index % 2 == 0 ? Edge::On : Edge::Off;
    made.reference = realTimeFromMs(300.0 + 500.0 * index + 100.0 * unit(random));
    made.latency = latencyFromMs(20.0 + 16.0 * unit(random));
    made.firstLight = *made.reference + *made.latency;
    made.halfLight = *made.firstLight + latencyFromMs(unit(random));
    made.settled = *made.firstLight + latencyFromMs(1.0 + unit(random));
    made.sweepStart = made.firstLight;
    made.fullFrame = *made.firstLight + latencyFromMs(9.0);
    made.fullFrameLatency = *made.latency + latencyFromMs(9.0);
    made.uncertainty = latencyFromMs(0.1 + 0.05 * unit(random));
    for (const auto source : {UncertaintySource::ReferenceOnset, UncertaintySource::FirstLight,
             UncertaintySource::Exposure, UncertaintySource::CaptureRate,
             UncertaintySource::LineTime, UncertaintySource::CameraResponse,
             UncertaintySource::LampResponse}) {
        made.parts.push_back({source, 0.05 * unit(random), made.parts.size() > 1, 14.0});
    }
    made.flags = {Flag::OnsetInGap};
    made.referenceModel = {std::int64_t {240} * index, light(random, referenceFrames)};
    made.goggleModel = {std::int64_t {240} * index + 10, light(random, goggleFrames)};
    return made;
}

ClipResult clipResult(Random& random, const std::string& name, int presses)
{
    constexpr std::size_t frames = 2000;
    ClipResult result;
    result.clip.file = name;
    result.clip.sha256 = name; // stands for the content
    result.clip.captureRate = {480, 1};
    result.clip.frames = 24'000;
    for (int index = 0; index < presses; ++index) {
        result.presses.push_back(press(random, index));
    }
    result.traces.exposureStart.resize(frames);
    for (std::size_t k = 0; k < frames; ++k) {
        result.traces.exposureStart[k].ns = static_cast<std::int64_t>(k) * 2'083'333;
    }
    result.traces.reference = light(random, frames);
    result.traces.goggle = light(random, frames);
    result.notes = {{"no-zero-check", {}}, {"no-time-base-check", {}}};
    return result;
}

void add(session::EditChain& chain, const Result<session::Edit>& edit)
{
    if (const Result<void> added = chain.add(edit); !added) {
        giveUp(added.error().detail);
    }
}

/// One setting as one edit.
void fileSetting(
    session::store::SessionFile& file, Random& random, const CampaignSize& size, int number)
{
    const std::string name = "setting " + std::to_string(number);
    session::Conditions conditions;
    conditions.bitRateMbit = 5.0 + 0.1 * number;
    conditions.linkFrameRate = FrameRate {60, 1};
    conditions.goggle = "an invented goggle";
    session::EditChain chain(file.session());
    const auto id = session::newId<session::SettingId>();
    add(chain, session::addSetting(chain.session(), id, name, conditions));
    for (int run = 1; run <= size.runs; ++run) {
        const auto runId = session::newId<session::RunId>();
        add(chain, session::addRun(chain.session(), runId, id, "run " + std::to_string(run)));
        const std::string clipName = name + " " + std::to_string(run) + ".mp4";
        session::Clip clip;
        clip.id = session::newId<session::ClipId>();
        clip.run = runId;
        clip.file = {clipName, "/home/bench/" + clipName, clipName, 1'000'000};
        clip.measurement = orGiveUp(file.keep(clipResult(random, clipName, size.presses), {}));
        add(chain, session::addClip(chain.session(), clip));
    }
    if (const Result<void> done = file.apply(chain.edit()); !done) {
        giveUp(done.error().detail);
    }
}

fs::path folder()
{
    fs::path path = fs::temp_directory_path() / "twinlamp-bench";
    fs::create_directories(path);
    return path;
}

std::string nameOf(const CampaignSize& size)
{
    return "campaign-" + std::to_string(size.settings) + "-" + std::to_string(size.runs) + "-"
        + std::to_string(size.presses);
}

} // namespace

fs::path campaign(const CampaignSize& size)
{
    fs::path path = folder() / (nameOf(size) + ".twinlamp");
    if (fs::exists(path)) {
        return path;
    }
    const fs::path beside = folder() / (nameOf(size) + ".making");
    fs::remove(beside);
    Random random(7);
    auto file = orGiveUp(session::store::SessionFile::create(beside, "an invented campaign"));
    for (int number = 1; number <= size.settings; ++number) {
        fileSetting(file, random, size, number);
    }
    if (const Result<void> closed = file.close(); !closed) {
        giveUp(closed.error().detail);
    }
    fs::rename(beside, path);
    return path;
}

fs::path changeableCampaign(const CampaignSize& size)
{
    fs::path copy = folder() / (nameOf(size) + "-changed.twinlamp");
    fs::copy_file(campaign(size), copy, fs::copy_options::overwrite_existing);
    return copy;
}

} // namespace twinlamp::bench
