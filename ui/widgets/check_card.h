// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <QWidget>

namespace twinlamp::ui {

/// "good", "look" or "mend" with the sign that stands for it.
[[nodiscard]] QString verdictText(const CheckResult& check);
/// The sentences of a check, one paragraph each, as rich text.
[[nodiscard]] QString sentencesOf(const CheckResult& check);

/// One filed check: its day, its verdict, what it says, and a way to take it out.
class CheckCard : public QWidget
{
    Q_OBJECT

public:
    /// @param applied  it is the one that the rig's clips are measured with
    CheckCard(
        const session::RigCheck& check, bool applied, bool writable, QWidget* parent = nullptr);

Q_SIGNALS:
    void removeAsked();
};

} // namespace twinlamp::ui
