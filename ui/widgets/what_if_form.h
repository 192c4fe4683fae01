// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/link_answer.h"

#include <QWidget>

#include <array>
#include <vector>

class QGridLayout;

namespace twinlamp::ui {

class WhatIfField;

/// Values of two links side by side, each with a number and a slider. They survive a restart.
class WhatIfForm : public QWidget
{
    Q_OBJECT

public:
    explicit WhatIfForm(QWidget* parent = nullptr);

    [[nodiscard]] std::array<WhatIfLink, 2> links() const;
    /// Fills one column.
    void setLink(std::size_t at, const WhatIfLink& link);
    /// Takes over what the conditions of a setting tell; the rest stays.
    void takeConditions(std::size_t at, const session::Conditions& conditions);
    void keep() const;

Q_SIGNALS:
    void changed();

private:
    struct Line
    {
        QString key; ///< in the settings; never changed
        std::array<WhatIfField*, 2> fields {};
        double (*get)(const WhatIfLink&) = nullptr;
        void (*set)(WhatIfLink&, double) = nullptr;
    };

    void addVideoLines(QGridLayout* grid);
    void addAirLines(QGridLayout* grid);
    void addTimeLines(QGridLayout* grid);
    void addRadioLines(QGridLayout* grid);
    void addHeading(QGridLayout* grid, const QString& text);
    void addLine(QGridLayout* grid, const QString& name, const QString& toolTip,
        const struct WhatIfRange& range, Line line);
    void addPresets(QGridLayout* grid);
    void restore();
    void enableLoss();
    [[nodiscard]] WhatIfLink linkAt(std::size_t at) const;

    std::vector<Line> m_lines;
    bool m_filling = false;
};

} // namespace twinlamp::ui
