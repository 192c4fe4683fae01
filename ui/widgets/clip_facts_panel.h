// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <QWidget>

#include <memory>

class QLabel;

namespace twinlamp::ui {

/// What the figures of the clip in hand rest on, and what its measurement notes.
class ClipFactsPanel : public QWidget
{
    Q_OBJECT

public:
    explicit ClipFactsPanel(QWidget* parent = nullptr);

    /// Null where the clip is not measured.
    /// @param isToBeFilledIn  frames that were left out are read later
    void setMeasurement(const std::shared_ptr<const session::ClipMeasurement>& measurement,
        bool isToBeFilledIn = false);

private:
    QLabel* m_facts = nullptr;
    QLabel* m_notes = nullptr;
};

/// "512 x 288 px, 2043 frames, exposure 1.70 ms (estimated)": picture, frames, exposure, losses.
[[nodiscard]] QString factsText(const ClipFacts& facts);

/// What is not known before every frame is read, and when that will be; nothing where every frame
/// is.
[[nodiscard]] QString gapsText(const session::ClipMeasurement& measurement);

/// "panel renews every 16.7 ms, downwards in 8.0 ms": what the panel's own timing is.
[[nodiscard]] QString panelText(const PanelTiming& timing);

} // namespace twinlamp::ui
