// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/session_filing.h"

#include "core/footage/frame_index.h"
#include "core/session/dates.h"
#include "core/session/rig_values.h"
#include "core/session/store/file_check.h"
#include "core/session/store/file_result.h"
#include "core/session/store/session_file.h"

#include <algorithm>
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

Result<store::SessionFile> openedForReading(const std::filesystem::path& session)
{
    return store::SessionFile::open(session, {store::OpenMode::ReadOnly, {}, std::stop_token {}});
}

/// Does something in a session that is made where it does not exist. On an error the session is as
/// it was, or is not there.
template<typename Action>
Result<void> inSession(
    const std::filesystem::path& session, const std::stop_token& stop, const Action& action)
{
    const bool isNew = !isThere(session);
    auto file = openOrCreate(session, stop);
    if (!file) {
        // It could be read a moment ago, or is new: what is missing is the right to write.
        Error error = file.error();
        error.why = error.why == Cause::NoAccess || error.why == Cause::NotFound
            ? Cause::WriteFailed
            : error.why;
        return tl::make_unexpected(error);
    }
    const Result<void> done = action(*file);
    const auto closed = file->close();
    if (!done || !closed) {
        if (isNew) {
            std::error_code ignored;
            std::filesystem::remove(session, ignored);
        }
        return tl::make_unexpected(done ? closed.error() : done.error());
    }
    return {};
}

session::RigId idOf(const session::Rig* rig)
{
    return rig == nullptr ? session::RigId {} : rig->id;
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
    const auto opened = openedForReading(session);
    return opened ? Result<void> {} : tl::make_unexpected(opened.error());
}

Result<void> fileInSession(const FilingOrder& order, const std::filesystem::path& clip,
    ClipResult result, const measure::MeasureOptions& options, const std::stop_token& stop)
{
    return inSession(order.session, stop, [&](store::SessionFile& file) {
        return store::fileResult(
            file, {order.setting, order.run, order.rig}, clip, std::move(result), options)
            .map([](session::ClipId) {});
    });
}

Result<measure::MeasureOptions> optionsInRig(const std::filesystem::path& session,
    const std::string& rig, const std::filesystem::path& clip, const measure::MeasureOptions& asked,
    const std::stop_token& stop)
{
    if (!isThere(session)) {
        return asked;
    }
    const auto opened = openedForReading(session);
    if (!opened) {
        return tl::make_unexpected(opened.error());
    }
    const session::Session& content = opened->session();
    if (!rig.empty()) {
        return session::withRig(content, idOf(session::findRig(content, rig)), asked);
    }
    const bool anyInARig = std::ranges::any_of(
        content.clips, [](const session::Clip& each) { return static_cast<bool>(each.rig); });
    if (!anyInARig) {
        return asked;
    }
    const auto hash = footage::sha256OfFile(clip, JobControl {stop, {}});
    if (hash.isError()) {
        return tl::make_unexpected(hash.error());
    }
    const session::Clip* same
        = hash.hasValue() ? session::findClip(content, hash.value()) : nullptr;
    return session::withRig(content, same == nullptr ? session::RigId {} : same->rig, asked);
}

Result<measure::MeasureOptions> checkOptionsInRig(const std::filesystem::path& session,
    const std::string& rig, CheckKind kind, const measure::MeasureOptions& asked)
{
    if (!isThere(session)) {
        return asked;
    }
    return openedForReading(session).map([&](const store::SessionFile& file) {
        const session::Session& content = file.session();
        return session::withRigForCheck(content, idOf(session::findRig(content, rig)), kind, asked);
    });
}

Result<void> fileCheckInSession(const std::filesystem::path& session, const std::string& rig,
    CheckResult check, const std::stop_token& stop)
{
    return inSession(session, stop, [&](store::SessionFile& file) {
        return store::fileCheck(file, rig, session::today(), std::move(check))
            .map([](session::RigCheckId) {});
    });
}

} // namespace twinlamp::commands
