// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/theme/colours.h"

#include <QFont>
#include <QIcon>
#include <QObject>

class QApplication;

namespace twinlamp::ui {

class SchemeWatcher;

enum class SchemeChoice
{
    FollowDesktop,
    Light,
    Dark
};

/// The three sizes of type in the window.
enum class TypeSize
{
    Small,
    Base,
    Figure
};

/// Colours in force now. Widgets repaint by themselves when they change (QEvent::PaletteChange).
[[nodiscard]] const Colours& colours();
/// Colours for what lies on footage: those made for dark grounds, whichever scheme is in force.
[[nodiscard]] const Colours& footageColours();
[[nodiscard]] Scheme scheme();
/// Colours of one scheme, whichever is in force; for what leaves the window.
[[nodiscard]] Colours schemeColours(Scheme scheme);

/// The desktop's font at one of the three sizes; `strong` is the second weight.
[[nodiscard]] QFont typeFont(TypeSize size, bool strong = false);

/// Icon of resources/icons drawn in the text colour of the scheme in force, at any size.
[[nodiscard]] QIcon themeIcon(const QString& name);
/// The same, always in the colour of a role.
[[nodiscard]] QIcon themeIcon(const QString& name, ColourRole role);

/// Puts a scheme on the application and keeps it there: the desktop's unless told otherwise.
class Theme : public QObject
{
    Q_OBJECT

public:
    explicit Theme(QApplication& application);
    ~Theme() override;

    [[nodiscard]] SchemeChoice choice() const { return m_choice; }

    /// Follows the desktop or stays with one scheme; kept in the settings.
    void choose(SchemeChoice choice);

private:
    void apply();

    QApplication& m_application;
    SchemeWatcher* m_watcher = nullptr;
    SchemeChoice m_choice = SchemeChoice::FollowDesktop;
};

} // namespace twinlamp::ui
