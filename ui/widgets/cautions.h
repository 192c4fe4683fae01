// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QString>

class QWidget;

namespace twinlamp::ui {

/// The usual cautions of this bench in a few lines, for the empty page.
[[nodiscard]] QString cautionsShort();

/// Shows all of them; from the Help menu.
void showCautions(QWidget* parent);

} // namespace twinlamp::ui
