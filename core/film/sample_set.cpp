// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/sample_set.h"

#include "core/film/film.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <mutex>
#include <spdlog/fmt/fmt.h>
#include <stop_token>
#include <system_error>
#include <thread>

namespace twinlamp::film {

namespace {

bool isThere(const std::filesystem::path& clip)
{
    std::error_code ignored;
    return std::filesystem::exists(clip, ignored)
        && std::filesystem::exists(truthPath(clip), ignored);
}

struct Job
{
    std::filesystem::path clip;
    Scene scene;
    std::int64_t frames = 0;
    double cost = 0.0; ///< pixels, weighted by how slow the codec is
};

double costOf(const Scene& scene, std::int64_t frames)
{
    constexpr double slowCodec = 5.0; // against H.264 at its fastest; measured on the sample set
    const bool slow = scene.file.codec == Codec::Hevc || scene.file.codec == Codec::Vp9
        || scene.file.codec == Codec::Av1;
    return static_cast<double>(frames) * scene.widthPx * scene.heightPx * (slow ? slowCodec : 1.0);
}

Result<std::vector<Job>> missingJobs(const SampleSet& set, const std::filesystem::path& folder)
{
    std::vector<Job> jobs;
    for (const SampleClip& clip : set.clips) {
        if (isThere(folder / clip.file)) {
            continue;
        }
        auto scene = sampleScene(set, clip);
        if (!scene) {
            return tl::unexpected(scene.error());
        }
        const double durationMs = sceneDurationMs(*scene, lampEdges(*scene));
        const auto frames
            = static_cast<std::int64_t>(durationMs / scene->camera.captureRate.intervalMs())
            + scene->file.hiddenFrames;
        const double cost = costOf(*scene, frames);
        jobs.push_back({folder / clip.file, std::move(*scene), frames, cost});
    }
    std::ranges::stable_sort(jobs, std::ranges::greater {}, &Job::cost);
    return jobs;
}

/// Hands jobs to threads; the first failure stops the rest.
class Crew
{
public:
    Crew(const std::vector<Job>& jobs, const JobControl& control)
        : m_jobs(jobs)
        , m_control(control)
        , m_done(jobs.size())
    {
        for (const Job& job : jobs) {
            m_total += job.frames;
        }
    }

    void run(int threads)
    {
        const std::stop_callback forward(m_control.stop, [this] { m_stop.request_stop(); });
        std::vector<std::jthread> workers;
        workers.reserve(static_cast<std::size_t>(threads));
        for (int i = 0; i < threads; ++i) {
            workers.emplace_back([this] { work(); });
        }
    }

    [[nodiscard]] const std::optional<Error>& error() const { return m_error; }

    [[nodiscard]] std::int64_t frames() const { return m_frames; }

private:
    void work()
    {
        for (;;) {
            const std::size_t i = m_next.fetch_add(1);
            if (i >= m_jobs.size() || m_stop.stop_requested()) {
                return;
            }
            JobControl control;
            control.stop = m_stop.get_token();
            control.report = [this, i](std::int64_t done, std::int64_t) { report(i, done); };
            const auto filmed = filmScene(m_jobs[i].scene, m_jobs[i].clip, control);
            const std::scoped_lock lock(m_mutex);
            if (filmed.hasValue()) {
                m_frames += filmed.value().framesWritten;
            } else if (filmed.isError() && !m_error) {
                m_error = filmed.error();
                m_stop.request_stop();
            }
        }
    }

    void report(std::size_t job, std::int64_t done)
    {
        const std::scoped_lock lock(m_mutex);
        m_sum += done - m_done[job];
        m_done[job] = done;
        if (m_control.report) {
            m_control.report(std::min(m_sum, m_total), m_total);
        }
    }

    const std::vector<Job>& m_jobs;
    const JobControl& m_control;
    std::stop_source m_stop;
    std::atomic<std::size_t> m_next {0};
    std::mutex m_mutex;
    std::vector<std::int64_t> m_done;
    std::int64_t m_sum = 0;
    std::int64_t m_total = 0;
    std::int64_t m_frames = 0;
    std::optional<Error> m_error;
};

} // namespace

Result<Scene> sampleScene(const SampleSet& set, const SampleClip& clip)
{
    return loadScene(set.folder / clip.scene, clip.changes);
}

bool samplesComplete(const SampleSet& set, const std::filesystem::path& folder)
{
    return std::ranges::all_of(
        set.clips, [&](const SampleClip& clip) { return isThere(folder / clip.file); });
}

JobResult<SampleReport> makeSamples(const SampleSet& set, const std::filesystem::path& folder,
    int threads, const JobControl& control)
{
    const auto begin = std::chrono::steady_clock::now();
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error) {
        return Error {Stage::Film, Cause::WriteFailed,
            fmt::format("{}: the folder cannot be made: {}. Choose another folder.",
                folder.string(), error.message())};
    }
    const auto jobs = missingJobs(set, folder);
    if (!jobs) {
        return jobs.error();
    }
    const int cores = std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
    Crew crew(*jobs, control);
    crew.run(std::min(threads > 0 ? threads : cores, static_cast<int>(jobs->size())));
    if (crew.error()) {
        return *crew.error();
    }
    if (control.stopRequested()) {
        return Cancelled {};
    }
    SampleReport report;
    report.clipsFilmed = static_cast<std::int64_t>(jobs->size());
    report.clipsThere = static_cast<std::int64_t>(set.clips.size()) - report.clipsFilmed;
    report.framesFilmed = crew.frames();
    report.seconds
        = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return report;
}

} // namespace twinlamp::film
