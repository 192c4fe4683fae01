// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/measure_options.h"

#include <QDialog>

#include <functional>
#include <vector>

class QComboBox;
class QFormLayout;
class QLineEdit;

namespace twinlamp::ui {

/// What the tester knows about the camera and the presses of one clip. Empty fields are estimated,
/// read from the file or done without, as the report then says.
class OptionsDialog : public QDialog
{
    Q_OBJECT

public:
    explicit OptionsDialog(measure::MeasureOptions options, QWidget* parent = nullptr);

    void accept() override;

Q_SIGNALS:
    void optionsChosen(const twinlamp::measure::MeasureOptions& options);

private:
    using Take = std::function<bool(const QString&, measure::MeasureOptions&)>;

    struct Field
    {
        QLineEdit* edit = nullptr;
        Take take; ///< false where the text is not understood
    };

    void add(QFormLayout* form, const QString& label, const QString& text, const QString& hint,
        const QString& help, Take take);
    void addCamera(QFormLayout* form);
    void addTransfer(QFormLayout* form);
    void addPresses(QFormLayout* form);

    measure::MeasureOptions m_options;
    std::vector<Field> m_fields;
    QComboBox* m_transfer = nullptr;
    QComboBox* m_edges = nullptr;
};

} // namespace twinlamp::ui
