// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/support/log_guard.h"

#include <atomic>
#include <gtest/gtest.h>
#include <memory>
#include <mutex>
#include <spdlog/sinks/base_sink.h>
#include <spdlog/spdlog.h>

namespace twinlamp::tests {

namespace {

std::atomic<int> expectations {0};

class FailingSink : public spdlog::sinks::base_sink<std::mutex>
{
protected:
    void sink_it_(const spdlog::details::log_msg& message) override
    {
        if (message.level >= spdlog::level::err && expectations.load() == 0) {
            ADD_FAILURE() << "unannounced error in the log: "
                          << std::string_view(message.payload.data(), message.payload.size());
        }
    }

    void flush_() override { }
};

} // namespace

void installLogGuard()
{
    spdlog::set_default_logger(
        std::make_shared<spdlog::logger>("tests", std::make_shared<FailingSink>()));
    spdlog::set_level(spdlog::level::debug);
}

ExpectedLogErrors::ExpectedLogErrors() { ++expectations; }

ExpectedLogErrors::~ExpectedLogErrors() { --expectations; }

} // namespace twinlamp::tests
