// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/session_filing.h"

#include "core/session/store/file_result.h"
#include "core/session/store/session_file.h"

#include <chrono>
#include <system_error>
#include <utility>

namespace twinlamp::commands {

namespace {

namespace store = session::store;

constexpr std::chrono::seconds longestWait {5};

bool isThere(const std::filesystem::path& file)
{
    std::error_code ignored;
    return std::filesystem::exists(file, ignored);
}

Result<store::SessionFile> openOrCreate(
    const std::filesystem::path& file, const std::stop_token& stop)
{
    if (isThere(file)) {
        return store::SessionFile::open(file, {store::OpenMode::Write, longestWait, stop});
    }
    return store::SessionFile::create(file, file.stem().string());
}

} // namespace

Result<void> checkSession(const std::filesystem::path& session)
{
    if (!isThere(session)) {
        std::error_code ignored;
        const auto folder = session.parent_path();
        return folder.empty() || std::filesystem::is_directory(folder, ignored)
            ? Result<void> {}
            : fail(Stage::Command, Cause::WriteFailed,
                session.string() + " cannot be made: there is no folder " + folder.string()
                    + "; make it first or choose another");
    }
    const auto opened
        = store::SessionFile::open(session, {store::OpenMode::ReadOnly, {}, std::stop_token {}});
    return opened ? Result<void> {} : tl::make_unexpected(opened.error());
}

Result<void> fileInSession(const FilingOrder& order, const std::filesystem::path& clip,
    ClipResult result, const measure::MeasureOptions& options, const std::stop_token& stop)
{
    const bool isNew = !isThere(order.session);
    auto file = openOrCreate(order.session, stop);
    if (!file) {
        // It could be read a moment ago, or is new: what is missing is the right to write.
        Error error = file.error();
        error.why = error.why == Cause::NoAccess || error.why == Cause::NotFound
            ? Cause::WriteFailed
            : error.why;
        return tl::make_unexpected(error);
    }
    const auto filed
        = store::fileResult(*file, {order.setting, order.run}, clip, std::move(result), options);
    const auto closed = file->close();
    if (!filed || !closed) {
        if (isNew) {
            std::error_code ignored;
            std::filesystem::remove(order.session, ignored);
        }
        return tl::make_unexpected(filed ? closed.error() : filed.error());
    }
    return {};
}

} // namespace twinlamp::commands
