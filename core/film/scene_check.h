// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/film/key_reader.h"
#include "core/film/scene.h"

namespace twinlamp::film {

/// Complains of keys that do not fit together: an exposure longer than its frame interval, a panel
/// that shows rows before they were filmed, a lamp out of the picture.
void checkScene(const Scene& scene, Complaint& complaint);

} // namespace twinlamp::film
