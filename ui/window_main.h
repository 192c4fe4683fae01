// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <vector>

namespace twinlamp::ui {

/// What the window opens: one session (NAME.twinlamp), or clips for a new one; nothing opens the
/// last session, or the sample on a first start.
struct WindowRequest
{
    std::vector<std::filesystem::path> paths;
    /// Which sample clips there are (samples.json); empty: no sample session is offered.
    std::filesystem::path sampleList;
};

/// Runs the window until it is closed. Needs a display (or Qt's offscreen platform).
/// @return exit status of the process
int runWindow(int& argc, char** argv, const WindowRequest& request);

} // namespace twinlamp::ui
