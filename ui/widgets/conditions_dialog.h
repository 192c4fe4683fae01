// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"

#include <QDialog>

#include <functional>
#include <vector>

class QFormLayout;
class QLineEdit;

namespace twinlamp::ui {

/// What a link setting was set to, as a form. Empty fields say nothing.
class ConditionsDialog : public QDialog
{
    Q_OBJECT

public:
    explicit ConditionsDialog(const session::LinkSetting& setting, QWidget* parent = nullptr);

    void accept() override;

Q_SIGNALS:
    void conditionsChosen(const twinlamp::session::Conditions& conditions);

private:
    using Read = std::function<bool(const QString&, session::Conditions&)>;

    struct Field
    {
        QLineEdit* edit = nullptr;
        Read read; ///< false where the text is not understood
    };

    void addText(QFormLayout* form, const QString& label, std::string session::Conditions::*member,
        const QString& example);
    void addNumber(QFormLayout* form, const QString& label,
        std::optional<double> session::Conditions::*member, const QString& unit);
    void addSize(QFormLayout* form);
    void addRate(QFormLayout* form);
    void add(QFormLayout* form, const QString& label, const QString& text, const QString& hint,
        Read read);

    session::Conditions m_conditions;
    std::vector<Field> m_fields;
};

} // namespace twinlamp::ui
