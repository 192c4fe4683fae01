// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/film.h"

#include "core/film/clip_writer.h"
#include "core/film/frame_pump.h"

#include <chrono>
#include <fstream>
#include <spdlog/fmt/fmt.h>
#include <system_error>

namespace twinlamp::film {

namespace {

/// A file written beside its place under another name; gone again unless kept.
class AsideFile
{
public:
    explicit AsideFile(const std::filesystem::path& target)
        : m_target(target)
        , m_path(target.parent_path() / fmt::format(".{}.part", target.filename().string()))
    {
    }

    AsideFile(const AsideFile&) = delete;
    AsideFile& operator=(const AsideFile&) = delete;

    ~AsideFile()
    {
        std::error_code ignored;
        std::filesystem::remove(m_path, ignored);
    }

    [[nodiscard]] const std::filesystem::path& path() const { return m_path; }

    [[nodiscard]] Result<void> keep() const
    {
        std::error_code error;
        std::filesystem::rename(m_path, m_target, error);
        if (error) {
            return fail(Stage::Film, Cause::WriteFailed,
                fmt::format("{}: the finished file cannot be put in place: {}. Check the folder.",
                    m_target.string(), error.message()));
        }
        return {};
    }

private:
    std::filesystem::path m_target;
    std::filesystem::path m_path;
};

/// @param target  the file's place in the end, for the message
Result<void> writeText(const std::filesystem::path& aside, const std::filesystem::path& target,
    const std::string& text)
{
    std::ofstream stream(aside, std::ios::binary);
    stream << text;
    stream.close();
    if (!stream) {
        return fail(Stage::Film, Cause::WriteFailed,
            fmt::format("{}: the truth cannot be written. Check the folder and its free space.",
                target.string()));
    }
    return {};
}

JobResult<std::int64_t> writeFrames(
    const Studio& studio, ClipWriter& writer, const JobControl& control)
{
    FramePump pump(studio);
    const auto& frames = studio.cameraFrames();
    const auto total = static_cast<std::int64_t>(frames.size());
    std::int64_t done = 0;
    for (const std::int64_t frame : frames) {
        if (!control.tick(done, total)) {
            return Cancelled {};
        }
        if (auto written = writer.write(frame, *pump.next()); !written) {
            return written.error();
        }
        ++done;
    }
    if (auto finished = writer.finish(); !finished) {
        return finished.error();
    }
    if (!control.tick(total, total)) {
        return Cancelled {};
    }
    return done;
}

} // namespace

JobResult<FilmReport> filmScene(
    const Scene& scene, const std::filesystem::path& out, const JobControl& control)
{
    const auto begin = std::chrono::steady_clock::now();
    const Studio studio(scene);
    const AsideFile clip(out);
    const AsideFile truthFile(truthPath(out));
    FilmReport report {out, truthPath(out), truthOf(studio), 0, 0, 0.0};
    report.truth.clip.file = out.filename().string();
    {
        auto writer = ClipWriter::open(clip.path(), out, scene, studio.orientation());
        if (!writer) {
            return writer.error();
        }
        const auto written = writeFrames(studio, *writer, control);
        if (!written.hasValue()) {
            return written.isError() ? JobResult<FilmReport>(written.error())
                                     : JobResult<FilmReport>(Cancelled {});
        }
        report.framesWritten = written.value();
    }
    std::error_code ignored;
    report.bytes = static_cast<std::int64_t>(std::filesystem::file_size(clip.path(), ignored));
    if (auto text = writeText(truthFile.path(), report.truthFile, truthJson(report.truth)); !text) {
        return text.error();
    }
    for (const AsideFile* file : {&truthFile, &clip}) {
        if (auto kept = file->keep(); !kept) {
            return kept.error();
        }
    }
    report.seconds
        = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return report;
}

} // namespace twinlamp::film
