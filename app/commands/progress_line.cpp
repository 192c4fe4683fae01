// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/progress_line.h"

#include <utility>

namespace twinlamp::commands {

namespace {

constexpr std::chrono::milliseconds shortestGap {100};
/// Back to the line's start, and erase to its end (ECMA-48: EL).
constexpr auto wipe = "\r\x1b[K";

} // namespace

ProgressLine::ProgressLine(
    const CommandContext& context, std::string label, std::chrono::milliseconds quiet)
    : m_context(context)
    , m_label(std::move(label))
    , m_from(std::chrono::steady_clock::now() + quiet)
{
}

ProgressLine::~ProgressLine()
{
    if (m_shown) {
        m_context.err << wipe << std::flush;
    }
}

JobControl ProgressLine::control()
{
    JobControl control;
    control.stop = m_context.stop;
    if (m_context.showProgress) {
        control.report = [this](std::int64_t done, std::int64_t total) { show(done, total); };
    }
    return control;
}

void ProgressLine::show(std::int64_t done, std::int64_t total)
{
    const std::scoped_lock lock(m_mutex);
    const auto now = std::chrono::steady_clock::now();
    if (now < m_from || (m_shown && now - m_lastShown < shortestGap)) {
        return;
    }
    m_lastShown = now;
    m_shown = true;
    m_context.err << wipe << m_label << ": " << std::to_string(done);
    if (total > 0) {
        m_context.err << " of " << std::to_string(total) << " ("
                      << std::to_string(done * 100 / total) << " %)";
    }
    m_context.err << std::flush;
}

} // namespace twinlamp::commands
