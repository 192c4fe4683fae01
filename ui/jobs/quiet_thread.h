// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <functional>

class QThreadPool;

namespace twinlamp::ui {

/// Does work at the lowest priority and waits for it: everything else on the machine goes first.
///
/// The work runs on a thread of its own, and so do the threads that it starts: a thread that was
/// put last in line cannot come back to the front. Called on a thread of the pool, which lends
/// its place to others in the meantime.
void runQuietly(QThreadPool& pool, const std::function<void()>& work);

} // namespace twinlamp::ui
