// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/logging.h"

#include <memory>
#include <spdlog/sinks/rotating_file_sink.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

namespace twinlamp::app {

namespace {

constexpr std::size_t largestFileBytes = std::size_t {1} << 20U;
constexpr std::size_t oldFiles = 2;

/// Null where the file cannot be opened; `reason` then says why.
spdlog::sink_ptr fileSink(const std::filesystem::path& folder, std::string& reason)
{
    if (folder.empty()) {
        reason = "neither XDG_STATE_HOME nor HOME is set";
        return nullptr;
    }
    std::error_code failed;
    std::filesystem::create_directories(folder, failed);
    if (failed) {
        reason = folder.string() + ": " + failed.message();
        return nullptr;
    }
    try {
        return std::make_shared<spdlog::sinks::rotating_file_sink_mt>(
            (folder / "twinlamp.log").string(), largestFileBytes, oldFiles);
    } catch (const spdlog::spdlog_ex& error) {
        reason = error.what();
        return nullptr;
    }
}

} // namespace

void startLogging(const std::filesystem::path& folder, bool verbose)
{
    std::vector<spdlog::sink_ptr> sinks;
    std::string noFile;
    if (auto file = fileSink(folder, noFile)) {
        file->set_level(spdlog::level::debug);
        sinks.push_back(std::move(file));
    }
    if (verbose) {
        auto terminal = std::make_shared<spdlog::sinks::stderr_sink_mt>();
        terminal->set_level(spdlog::level::debug);
        sinks.push_back(std::move(terminal));
    }
    auto logger = std::make_shared<spdlog::logger>("twinlamp", sinks.begin(), sinks.end());
    logger->set_level(spdlog::level::debug);
    logger->set_pattern("%Y-%m-%dT%H:%M:%S.%e%z %P %l %v");
    logger->flush_on(spdlog::level::info);
    // A disk that fills up while the program runs must not print on the terminal either.
    logger->set_error_handler([](const std::string&) {});
    spdlog::set_default_logger(std::move(logger));
    if (!noFile.empty()) {
        spdlog::warn("no log file ({})", noFile);
    }
}

} // namespace twinlamp::app
